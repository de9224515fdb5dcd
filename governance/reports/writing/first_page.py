"""The first page: the answer, the numbers, what it is about, the caution."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final

from governance.papers.printed.blocks import Alert, Block, Cell, Facts, Line, Para, Section, Table, Text, plain
from governance.reports.contents import ColumnType, Fact, Figure
from governance.reports.writing.answers import answers
from governance.reports.writing.pen import Pen
from governance.reports.writing.summaries import Number

_OF_COUNTRIES: Final = frozenset({"provider", "benefits"})
_SIDE_BY_SIDE: Final = 7
"""Figures from which on they stand in two columns."""


def first_page(pen: Pen, *, draft: bool) -> Section:
    """The cover."""
    return Section(title_of(pen), list(_blocks(pen, draft=draft)), key="cover")


def title_of(pen: Pen) -> str:
    """What the report is about, in its language."""
    contents = pen.contents
    subject = contents.subject
    if contents.kind in _OF_COUNTRIES and contents.country:
        country = pen.w.country(contents.country)
        subject = country if subject in ("", contents.country) else f"{country}, {subject}"
    return str(pen.w.groups["titles"][contents.kind].format(subject=subject))


def period_of(pen: Pen) -> str:
    """The time that the report is about."""
    first, last = pen.contents.period_from, pen.contents.period_to
    w = pen.w
    if first and last:
        return w.span(_day(first), _day(last))
    return w("period_open") if not first and not last else w.days(
        _day(first) if first else None, _day(last) if last else None
    )  # fmt: skip


def _blocks(pen: Pen, *, draft: bool) -> Iterator[Block]:
    w, contents = pen.w, pen.contents
    if draft:
        yield Alert(w("draft"), [plain(w("draft_text"))])
    if contents.kind != "landowner":
        yield Para((Text(w("told_on", day=contents.made_on, period=period_of(pen))),), "lead")
        yield Facts(w("answer"), answers(pen))
    yield from pen.written_by_people("introduction")
    yield from _figures(pen)
    facts = [(w.of("facts", fact.key), [_fact(pen, fact)]) for fact in contents.facts]
    if facts:
        yield Facts(w("facts"), facts)
    yield from pen.notes("cover")
    if contents.kind != "landowner":
        yield Para(plain(w.caution()), "note")


def _figures(pen: Pen) -> Iterator[Block]:
    """The numbers with their names, in one table."""
    figures = [one for one in pen.contents.figures if pen.contents.kind != "landowner"]
    if not figures:
        return
    w = pen.w
    cells = [(Cell([plain(w.of("figures", one.key))]), Cell([_value(pen, one)])) for one in figures]
    if len(cells) < _SIDE_BY_SIDE:
        yield Table(w("figures"), [w("figure"), w("number")], [list(pair) for pair in cells], [80, 20], small=True,
                    numbers=[1])  # fmt: skip
        return
    half = -(-len(cells) // 2)
    right = [*cells[half:], *[(Cell(), Cell())] * (2 * half - len(cells))]
    rows = [[*left, *other] for left, other in zip(cells[:half], right, strict=True)]
    heads = [w("figure"), w("number")] * 2
    yield Table(w("figures"), heads, rows, [36, 14, 36, 14], small=True, numbers=[1, 3])


def _value(pen: Pen, figure: Figure) -> Line:
    number = pen.number(Number(figure.value, figure.proof), role="strong")
    return (number, Text(f"\u00a0{figure.unit}")) if figure.unit else (number,)


def _fact(pen: Pen, fact: Fact) -> Line:
    w = pen.w
    if fact.value is None or fact.value == "":
        return plain(w("not_known"))
    if fact.type is ColumnType.DAY:
        return plain(w.written("", fact.value))
    if fact.type is ColumnType.COUNTRY:
        return plain(w.country(str(fact.value)))
    if fact.type is ColumnType.WORD:
        return plain(w.code(fact.words, str(fact.value)))
    if fact.type in (ColumnType.NUMBER, ColumnType.DECIMAL):
        return plain(w.amount(str(fact.value)))
    return (Text(str(fact.value), role="taxon" if fact.type is ColumnType.TAXON else ""),)


def _day(iso: str) -> date:
    return date.fromisoformat(iso)
