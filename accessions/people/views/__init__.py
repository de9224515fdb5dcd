"""Pages of the room: one's own account, the people who sign in, and the agents that records name."""
