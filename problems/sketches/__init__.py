"""Sketches as values, as text both ways, and compared piece by piece."""
