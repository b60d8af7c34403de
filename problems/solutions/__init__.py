"""The worked solution, step by step."""
