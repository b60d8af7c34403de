"""Screens of the full-screen tutor."""
