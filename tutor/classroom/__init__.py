"""A class: its sheets made, handed in, marked and reported."""
