"""What is said of the subject of a report, each with its name."""

from __future__ import annotations

from typing import Final

from governance.papers.printed.blocks import Facts, Line, Text, lines_of, plain
from governance.reports.contents import ColumnType, Fact
from governance.reports.writing.pen import Pen

_TOLD_ELSEWHERE: Final = frozenset({"period_from", "period_to", "made_on", "specimens", "nil_return"})
"""Facts that the first lines say."""


def facts_block(pen: Pen) -> Facts | None:
    """The facts; None where there is none."""
    w = pen.w
    rows = [(w.of("facts", fact.key), _lines(pen, fact)) for fact in pen.contents.facts
            if fact.key not in _TOLD_ELSEWHERE]  # fmt: skip
    return Facts(w("facts"), rows) if rows else None


def _lines(pen: Pen, fact: Fact) -> list[Line]:
    w = pen.w
    if fact.value is None or fact.value == "":
        return [plain(w("not_known"))]
    if fact.type is ColumnType.DAY:
        return [plain(w.written("", fact.value))]
    if fact.type is ColumnType.COUNTRY:
        return [plain(w.country(str(fact.value)))]
    if fact.type is ColumnType.WORD:
        return [plain(w.code_word(fact.words, str(fact.value)))]
    if fact.type in (ColumnType.NUMBER, ColumnType.DECIMAL):
        return [plain(w.amount(str(fact.value)))]
    if fact.type is ColumnType.TAXON:
        return [(Text(str(fact.value), role="taxon"),)]
    return lines_of(str(fact.value))
