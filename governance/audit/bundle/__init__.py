"""Evidence in one file: a folder that explains itself, packed, readable without this program and without a server."""
