"""Measures the engine against scripts that a practitioner would otherwise write, on generated data."""
