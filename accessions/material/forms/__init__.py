"""Forms of the room of material."""
