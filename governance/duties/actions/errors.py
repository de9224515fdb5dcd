"""What cannot be done about duties, in words."""

from __future__ import annotations


class DutyError(Exception):
    """A change that cannot be made, with the reason in words for the person who tried it."""
