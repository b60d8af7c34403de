"""What a class got wrong, as a report."""
