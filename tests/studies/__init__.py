"""Studies: long runs by hand, whose short versions are in the suite."""
