"""The rehearsal of an exam."""
