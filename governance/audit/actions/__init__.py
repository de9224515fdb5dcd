"""Writes of the audit."""
