"""Names as written, and the classification they are placed in."""
