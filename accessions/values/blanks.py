"""Which cells count as blank."""

BLANK_WORDS = frozenset({
    "", "null", "NULL", "NA", "n/a", "none", "none specified", "unknown", "not recorded", "NO DISPONIBLE",
    "NO APLICA", "-",
})  # fmt: skip
"""House list, matched exactly after trimming. Source: VERDICTS, section 8."""


def clean(text: str) -> str:
    """The cell without blanks at its ends. A cell of blanks is ``""``."""
    return text.strip()


def is_blank(text: str, column: str = "") -> bool:
    """Whether the cell says nothing: white space alone, or a word of the house list.

    Args:
        text: the cell as written.
        column: Darwin Core name of the column; in ``countryCode`` the text ``NA`` is Namibia, not a blank.

    >>> is_blank(" n/a "), is_blank("NA", "countryCode"), is_blank("0")
    (True, False, False)
    """
    trimmed = text.strip()
    return trimmed in BLANK_WORDS and not (trimmed == "NA" and column == "countryCode")


def filled(text: str) -> str:
    """The trimmed cell, or ``""`` where it counts as blank."""
    trimmed = text.strip()
    return "" if trimmed in BLANK_WORDS else trimmed
