"""Circuit drawings as text."""
