"""Why a write of the intake was refused."""

from __future__ import annotations


class IntakeError(Exception):
    """A step that cannot be taken now; the words are for the person who asked for it."""
