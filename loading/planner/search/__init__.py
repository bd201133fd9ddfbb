"""The search: builds load plans tier by tier."""
