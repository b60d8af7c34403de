"""Widgets of the full-screen tutor."""
