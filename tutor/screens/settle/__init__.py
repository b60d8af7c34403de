"""Answers settled that could not be read."""
