"""A sheet filled in."""
