"""Writes of the room of material: each leaves its history and the mark of ``touches``."""
