"""Forms of the audit."""
