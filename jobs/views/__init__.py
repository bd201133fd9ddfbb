"""The pages of the floor, one subject per file."""
