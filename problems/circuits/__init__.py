"""Ladder networks: the model, their text both ways, and the same parts arranged otherwise."""
