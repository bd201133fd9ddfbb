"""An invented warehouse and one invented day: what `make demo` shows."""
