"""Reads of the guide."""
