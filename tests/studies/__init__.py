"""Long runs that are started by hand; the suite holds a short version of each."""
