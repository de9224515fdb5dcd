"""Pages of the papers."""
