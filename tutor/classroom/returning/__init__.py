"""Solutions given back to students."""
