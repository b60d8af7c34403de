"""From a seed to a certified problem."""
