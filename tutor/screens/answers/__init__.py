"""Widgets that take an answer."""
