"""What is stored: shipments, vaults in lanes, items and their tags, and who may take them out."""
