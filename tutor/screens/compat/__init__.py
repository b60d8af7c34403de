"""What is done to the screen library's insides, with the version and the reason."""
