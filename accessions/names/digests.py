"""One hash for one statement: how rows of text are known again."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256


def digest_of(cells: Iterable[str]) -> str:
    """SHA-256 of the cells in their order, as 64 hexadecimal digits.

    The cells are joined by NUL, which no text of the register may hold, so that no two rows share a joined form.

    >>> digest_of(["a", ""]) == digest_of(["", "a"])
    False
    """
    return sha256("\0".join(cells).encode()).hexdigest()
