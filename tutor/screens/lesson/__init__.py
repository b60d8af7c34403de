"""Lessons that are worked with."""
