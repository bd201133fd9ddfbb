"""All reads of the floor, one subject per file."""
