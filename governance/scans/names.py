"""Names that files came with: kept as data, made harmless to show."""

from __future__ import annotations

import unicodedata

LONGEST = 500
"""Characters of a name that are kept, as the column holds them."""

UNNAMED = "unnamed"

_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Characters that turn the direction of the text around them (Unicode Standard Annex 9): a name could hide its ending
by them. The letters of right-to-left writing need none of them, and stay."""

_REPLACED = "\ufffd"


def clean_name(name: str) -> str:
    """The last part of a name, without what could deceive on a screen; as written otherwise.

    >>> clean_name("C:\\\\scans\\\\permit.pdf")
    'permit.pdf'
    >>> clean_name("../../etc/")
    'etc'
    >>> clean_name("")
    'unnamed'
    """
    parts = [part for part in unicodedata.normalize("NFC", name).replace("\\", "/").split("/") if part.strip(" .\0")]
    shown = " ".join("".join(map(_harmless, parts[-1] if parts else "")).split())
    return _shortened(shown) or UNNAMED


def _harmless(character: str) -> str:
    if character in _TURNING:
        return _REPLACED
    kind = unicodedata.category(character)
    if kind == "Cs":  # half of a pair: no database takes it
        return _REPLACED
    return " " if kind in ("Cc", "Zl", "Zp") else character


def _shortened(name: str) -> str:
    """At most ``LONGEST`` characters, with the ending kept."""
    if len(name) <= LONGEST:
        return name
    stem, dot, ending = name.rpartition(".")
    if not stem or len(ending) > 20:
        return name[: LONGEST - 1] + "…"
    return stem[: LONGEST - len(ending) - 2] + "…" + dot + ending


_ENDINGS = {
    "application/pdf": (".pdf",),
    "image/jpeg": (".jpg", ".jpeg", ".jpe", ".jfif"),
    "image/png": (".png",),
    "image/tiff": (".tif", ".tiff"),
    "image/heic": (".heic", ".heif"),
    "message/rfc822": (".eml",),
    "application/vnd.ms-outlook": (".msg",),
    "application/vnd.openxmlformats-officedocument.wordprocessingml.document": (".docx", ".docm"),
    "text/plain": (".txt", ".csv", ".tsv", ".md", ".json", ".log"),
}


def name_for_saving(name: str, media_type: str) -> str:
    """The name with an ending of its kind: a text that calls itself .html would run when somebody opens it.

    >>> name_for_saving("permit.html", "text/plain")
    'permit.html.txt'
    """
    endings = _ENDINGS.get(media_type, (".bin",))
    return name if name.lower().endswith(endings) else name + endings[0]
