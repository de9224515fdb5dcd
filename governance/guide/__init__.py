"""First steps of a new register, and the pages that explain its words."""
