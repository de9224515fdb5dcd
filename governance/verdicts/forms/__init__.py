"""Forms of the room, one module a page."""
