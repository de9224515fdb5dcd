"""Reads of the room of sites."""
