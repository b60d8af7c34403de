"""The drill."""
