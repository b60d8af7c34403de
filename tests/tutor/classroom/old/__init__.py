"""A class as an earlier release made it, its hand-ins, and the marks they were given."""
