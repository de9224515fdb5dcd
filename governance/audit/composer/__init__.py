"""The composer: conditions on any field, combined, and what they find."""
