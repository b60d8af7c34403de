"""Sketches as text."""
