"""Pages of the room of material."""
