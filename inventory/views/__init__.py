"""The office's pages, one subject per file."""
