"""Pages of the guide."""
