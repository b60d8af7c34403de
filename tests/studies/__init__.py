"""Studies: long runs started by hand; the suite holds a short version of each."""
