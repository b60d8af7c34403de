"""Where a learner stands, by the record, and what comes next."""
