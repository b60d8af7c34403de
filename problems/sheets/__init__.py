"""Problem sheets as values: plan, lots, sheet and key."""
