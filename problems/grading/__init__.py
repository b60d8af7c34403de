"""A typed answer read and judged."""
