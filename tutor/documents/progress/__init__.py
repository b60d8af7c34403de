"""Progress as pages."""
