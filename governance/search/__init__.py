"""The search from the head of every page: whatever has a number, a name or words, by kind."""
