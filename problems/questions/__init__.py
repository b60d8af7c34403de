"""What is asked of a circuit, and what is right."""
