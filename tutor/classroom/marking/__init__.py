"""Hand-ins marked."""
