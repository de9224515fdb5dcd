"""Reads of the audit that no question owns."""
