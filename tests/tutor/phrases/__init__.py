"""What happened, in words."""
