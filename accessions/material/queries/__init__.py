"""Reads of the room of material."""
