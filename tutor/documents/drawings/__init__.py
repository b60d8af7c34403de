"""Circuits, charts and maps as vector drawings."""
