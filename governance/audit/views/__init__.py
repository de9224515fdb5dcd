"""Pages of the audit."""
