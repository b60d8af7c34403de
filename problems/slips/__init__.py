"""Wrong-answer models: what a belief would answer."""
