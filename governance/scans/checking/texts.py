"""Plain text: which bytes are one, and how they are read."""

from __future__ import annotations

import codecs
from pathlib import Path

from governance.scans.checking.found import Found, Unfit
from governance.scans.checking.kinds import Kind

__all__ = ["decode", "look"]

_CONTROL = frozenset(range(32)) - {9, 10, 12, 13} | {127}
"""Bytes that no text has: all control characters but tabulator, line feed, form feed and carriage return."""

_BYTE_ORDER_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


def decode(data: bytes) -> tuple[str, bool]:
    """The text, and whether its encoding is certain: UTF-8 or one that its first bytes name. Else it is read as
    Windows-1252, the commonest of the older ones, with U+FFFD for bytes that it lacks.

    >>> decode("Genehmigung für Käfer".encode("latin-1"))
    ('Genehmigung für Käfer', False)
    """
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return data.decode(encoding, "replace"), True
    try:
        return data.decode("utf-8"), True
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), False


def look(path: Path) -> Found:
    """A text.

    Raises:
        Unfit: it holds bytes that no text has.
    """
    data = path.read_bytes()
    text, is_certain = decode(data)
    if is_certain and data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        wrong = "\ufffd" in text or any(ord(character) in _CONTROL for character in set(text))
    else:
        wrong = not _CONTROL.isdisjoint(set(data))
    if wrong:
        raise Unfit("unknown")
    found = Found(Kind.TEXT)
    if not is_certain:
        found.note("text-encoding")
    return found
