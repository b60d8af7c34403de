"""Widgets that show a figure."""
