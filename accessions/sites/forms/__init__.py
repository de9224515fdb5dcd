"""Forms of the room of sites."""
