"""The record: that what is acknowledged is kept, whatever happens."""
