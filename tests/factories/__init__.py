"""Small functions that make valid minimal rows, for tests that need some and not all of them to be special."""
