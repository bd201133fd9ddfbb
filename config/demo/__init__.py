"""`make demo`: the invented day, from an empty machine to pages that are served."""
