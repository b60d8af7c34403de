"""The tutor in a browser, for a room."""
