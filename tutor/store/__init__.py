"""The record: what was asked and answered, kept on disk."""
