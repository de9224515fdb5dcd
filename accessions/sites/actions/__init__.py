"""Writes of the room of sites: each leaves its history, and its word to whoever judges places."""
