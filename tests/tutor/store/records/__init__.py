"""A record of each step that records ever were at, as files."""
