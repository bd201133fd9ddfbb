"""Everything that is written to the inventory, one subject per file."""
