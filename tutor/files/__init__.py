"""Whole files, their names, and locks."""
