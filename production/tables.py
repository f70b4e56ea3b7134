"""The table of articles."""
