"""Reads of the room: a module for each sort of thing that is found, and those that bring them together."""
