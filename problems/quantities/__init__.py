"""Engineering quantities: read, written, converted; exact."""
