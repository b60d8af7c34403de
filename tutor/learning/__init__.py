"""One climb, what it showed, and what is worth asking next; no screen, no disk."""
