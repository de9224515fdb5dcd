"""A season as one story through all rooms, which also makes the pictures of governance/docs/season.md."""
