"""The grid that answers on paper are entered in."""
