"""Pages of the room of sites."""
