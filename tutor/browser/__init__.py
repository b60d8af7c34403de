"""The tutor in a browser, for a room around the machine that serves it."""
