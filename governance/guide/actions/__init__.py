"""Writes of the guide."""
