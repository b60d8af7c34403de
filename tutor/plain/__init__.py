"""The drill and the rehearsal in plain lines."""
