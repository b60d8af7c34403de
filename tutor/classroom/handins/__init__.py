"""Hand-ins read and filled in."""
