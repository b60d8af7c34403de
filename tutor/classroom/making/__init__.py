"""Sheets and keys made for a class."""
