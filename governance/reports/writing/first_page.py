"""The first page: the answer, the numbers, what it is about, the caution."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Final

from governance.papers.printed.blocks import Alert, Block, Cell, Facts, Line, Para, Table, Text, plain
from governance.reports.contents import Figure
from governance.reports.writing.answers import answers
from governance.reports.writing.facts import facts_block
from governance.reports.writing.pen import Pen
from governance.reports.writing.summaries import Number

_OF_COUNTRIES: Final = frozenset({"provider", "benefits"})
_WITHOUT_PERIOD: Final = frozenset({"diligence", "certificate"})

_WITH_FACTS: Final = frozenset({"provider", "benefits", "diligence", "certificate"})
"""Kinds whose facts stand on the first page; those of a return are its part on the permit."""

KEY_FIGURES: Final[Mapping[str, tuple[str, ...]]] = {
    "provider": (
        "papers", "accessions", "specimens", "individuals", "taxa", "sites", "taken_in_period", "exception_specimens",
        "movements", "lent_out", "uses", "uses_outside", "sequences", "publications", "deposited_specimens",
        "benefits_given", "losses", "duties_late",
    ),
    "benefits": (
        "papers", "specimens", "uses", "uses_outside", "publications", "deposits", "deposited_specimens", "promises",
        "promised_amount", "promised_given", "promised_open", "benefits_given", "given_amount", "duties_late",
    ),
    "agency": (
        "taken", "removed", "released", "salvaged", "taxa", "samples", "samples_maybe", "samples_undated",
        "exception_specimens", "transfers", "commercial_uses", "not_known",
    ),
    "landowner": (),
    "diligence": (
        "fields", "fields_not_known", "fields_in_part", "fields_kept_back", "fields_not_needed", "fields_from_memory",
    ),
    "certificate": (
        "minimum_items", "minimum_not_found", "minimum_not_stated", "minimum_in_part", "minimum_confidential",
        "minimum_kept_back",
    ),
}  # fmt: skip
"""The figures of the first page, in order; the workbook has all of them."""

_SIDE_BY_SIDE: Final = 7
"""Figures from which on they stand in two columns."""


def title_of(pen: Pen) -> str:
    """What the report is about, in its language."""
    contents = pen.contents
    subject = contents.subject
    if contents.kind in _OF_COUNTRIES and contents.country:
        country = pen.w.country(contents.country)
        subject = country if subject in ("", contents.country) else f"{country}, {subject}"
    return str(pen.w.groups["titles"][contents.kind].format(subject=subject))


def as_it_stood(pen: Pen) -> str:
    """The period and the day of the register; of papers alone only the day."""
    contents = pen.contents
    if contents.kind in _WITHOUT_PERIOD and not (contents.period_from or contents.period_to):
        return pen.w("stood_on", day=contents.made_on)
    return pen.w("told_on", day=contents.made_on, period=period_of(pen))


def period_of(pen: Pen) -> str:
    """The time that the report is about."""
    first, last = pen.contents.period_from, pen.contents.period_to
    w = pen.w
    if first and last:
        return w.span(_day(first), _day(last))
    return w("period_open") if not first and not last else w.days(
        _day(first) if first else None, _day(last) if last else None
    )  # fmt: skip


def first_page(pen: Pen) -> Iterator[Block]:
    """The blocks of the cover."""
    w, contents = pen.w, pen.contents
    if pen.draft:
        yield Alert(w("draft"), [plain(w("draft_text"))])
    if contents.kind != "landowner":
        yield Para(plain(as_it_stood(pen)), "lead")
        yield Facts(w("answer"), answers(pen))
    yield from pen.written_by_people("introduction")
    yield from _figures(pen)
    facts = facts_block(pen) if contents.kind in _WITH_FACTS else None
    if facts is not None:
        yield facts
    yield from pen.notes("cover")
    if contents.kind != "landowner":
        yield Para(plain(w.caution()), "note")


def _figures(pen: Pen) -> Iterator[Block]:
    """The numbers with their names, in one table."""
    wanted = KEY_FIGURES[pen.contents.kind]
    figures = sorted((one for one in pen.contents.figures if one.key in wanted), key=lambda one: wanted.index(one.key))
    if not figures:
        return
    w = pen.w
    cells = [(Cell([plain(w.figure(one.key))]), Cell([_value(pen, one)])) for one in figures]
    if len(cells) < _SIDE_BY_SIDE:
        heads, pairs = [w("figure"), w("number")], [list(pair) for pair in cells]
        yield Table(w("figures"), heads, pairs, [80, 20], small=True, fine_head=True, numbers=[1])
        return
    half = -(-len(cells) // 2)
    right = [*cells[half:], *[(Cell(), Cell())] * (2 * half - len(cells))]
    rows = [[*left, *other] for left, other in zip(cells[:half], right, strict=True)]
    heads = [w("figure"), w("number")] * 2
    yield Table(w("figures"), heads, rows, [36, 14, 36, 14], small=True, fine_head=True, numbers=[1, 3])


def _value(pen: Pen, figure: Figure) -> Line:
    number = pen.number(Number(figure.value, figure.proof), role="strong")
    return (number, Text(f"\u00a0{figure.unit}")) if figure.unit else (number,)


def _day(iso: str) -> date:
    return date.fromisoformat(iso)
