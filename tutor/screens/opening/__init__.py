"""The opening screen."""
