"""What cannot be done at the desk, in words."""

from __future__ import annotations

from governance.verdicts.actions.overrides import OverrideError, sentence


class DeskError(Exception):
    """A change that cannot be made, with the reason in words for the person who tried it."""


def reasoned(reason: str) -> str:
    """A reason as decisions keep it.

    Raises:
        DeskError: it is no sentence.
    """
    try:
        return sentence(reason)
    except OverrideError as problem:
        raise DeskError(str(problem)) from None
