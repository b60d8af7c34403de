"""What fills the hints of a circuit."""
