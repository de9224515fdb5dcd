"""What cannot be done at the desk, in words."""

from __future__ import annotations


class DeskError(Exception):
    """A change that cannot be made, with the reason in words for the person who tried it."""
