"""Where a learner stands."""
