"""What sheets hold: names that they allow, texts that they take, widths that can be read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from governance.reports.contents import Column, ColumnType, Value
from governance.reports.writing.language import ReportWords

MOST_CHARACTERS: Final = 32_767
"""Characters of a cell, and of a sheet's name: specifications of workbooks (ECMA-376 leaves both to programs; these are
the limits that programs have, from memory)."""

MOST_OF_NAME: Final = 31
_FORBIDDEN: Final = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_CONTROL: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_WIDE: Final = frozenset({
    "citation", "finding", "what", "decided", "done_how", "value", "source", "locality", "evidence", "field",
    "question", "title",
})  # fmt: skip
_WIDTHS: Final = {ColumnType.NUMBER: 12, ColumnType.DECIMAL: 12, ColumnType.DAY: 12, ColumnType.TAXON: 28,
                  ColumnType.WORD: 20, ColumnType.COUNTRY: 16, ColumnType.TEXT: 20}  # fmt: skip


def cell_text(w: ReportWords, value: Value) -> str:
    """A text as a cell holds it: without control characters, cut where it is too long, with a mark that says so."""
    text = _CONTROL.sub("", str(value))
    if len(text) <= MOST_CHARACTERS:
        return text
    mark = " " + w("cut", n=len(text))
    return text[: MOST_CHARACTERS - len(mark)] + mark


def width_of(column: Column) -> int:
    """A width in characters."""
    return 44 if column.key in _WIDE else _WIDTHS[column.type]


def sheet_titles(w: ReportWords, parts: Mapping[str, int]) -> tuple[str, dict[str, list[str]]]:
    """Names of the first sheet, and of those of each table: allowed, and different from each other without case.

    Args:
        parts: by table, how many sheets it takes.
    """
    used: set[str] = set()
    first = _title(w("read_me"), used)
    found = {}
    for key, number in parts.items():
        name = w.of("tables", key)
        found[key] = [_title(name if number == 1 else f"{name} {part}", used) for part in range(1, number + 1)]
    return first, found


def _title(name: str, used: set[str]) -> str:
    """An allowed name that no other sheet has."""
    clean = _FORBIDDEN.sub(" ", name).strip("' ")[:MOST_OF_NAME].strip("' ") or "-"
    title, number = clean, 2
    while title.casefold() in used or title.casefold() == "history":
        suffix = f" ({number})"
        title, number = clean[: MOST_OF_NAME - len(suffix)] + suffix, number + 1
    used.add(title.casefold())
    return title
