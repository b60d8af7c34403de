"""What a learner draws or turns, as values: straight lines, maps, the bench."""
