"""Pages of the room: files brought in, their columns, their dates, what they would do, and the commit."""
