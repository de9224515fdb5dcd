"""How days and numbers are written, by language, where it differs from what Django knows (FORMAT_MODULE_PATH)."""
