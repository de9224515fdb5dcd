"""Limits with what is left of them, and sheets to tick while collecting."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from governance.papers.models import Paper, VersionCap
from governance.papers.printed.blocks import Block, Cell, Line, Para, Section, Table, Text, plain, strong
from governance.plans.pack.sources import FIELD_LAYERS, NumberedStop, PackSources
from governance.plans.pack.stop_sheets import closed_line
from governance.plans.pack.terms import cap_words
from governance.plans.queries.cap_use import CapUse, Individuals

_GROUPS_A_SHEET = 4
_MOST_DAYS = 31
_DAYS_UNFIXED = 7


def numbers(src: PackSources) -> Section:
    """Caps first, then a tally sheet a stop."""
    w = src.words
    rows = [row for paper, cap in capped(src) for row in _rows(paper, cap, src)]
    blocks: list[Block] = [Para(plain(w("caps_lead")))]
    if rows:
        head = [w("paper"), w("numbers"), w("taken"), w("elsewhere"), w("expected"), w("left")]
        blocks.append(Table(w("caps"), head, rows, [20, 30, 13, 13, 13, 11]))
    closed = [closed_line(paper, src) for paper in src.papers.values() if not src.may_read(paper)]
    blocks += closed
    if not rows and not closed:
        blocks.append(Para(plain(w("no_caps"))))
    return Section(w("caps"), blocks, [_tally(stop, src) for stop in src.stops], new_page=True, key="numbers")


def capped(src: PackSources) -> Iterator[tuple[Paper, VersionCap]]:
    """The limits of the versions that were tested at the stops, each once; those of restricted papers stay away."""
    seen: set[int] = set()
    for stop in src.stops:
        for at in src.papers_at(stop, FIELD_LAYERS):
            for version in at.versions if src.may_read(at.paper) else ():
                for cap in version.versioncaps.all():
                    if cap.pk not in seen:
                        seen.add(cap.pk)
                        yield at.paper, cap


def _rows(paper: Paper, cap: VersionCap, src: PackSources) -> Iterator[list[Cell]]:
    """A row for each way in which the check counted the limit; one that says so where it did not."""
    w = src.words
    what: list[Line] = [(Text(cap_words(cap, w)),)]
    uses = [use for use in src.caps if _is_of(use, paper, cap)]
    if not uses:
        unknown = Cell([plain(w("unknown"))])
        yield [Cell([strong(paper.reference)]), Cell(what), unknown, unknown, unknown, Cell([strong(w("unknown"))])]
    for use in uses:
        one: list[Line] = [(Text(use.one, role="note"),)] if use.one else []
        yield [
            Cell([strong(paper.reference)]), Cell([*what, *one]), *(_count(n, src) for n in
            (use.taken, use.others, use.expected)), Cell([strong(left_words(use, src))]),
        ]  # fmt: skip


def _is_of(use: CapUse, paper: Paper, cap: VersionCap) -> bool:
    each = cap.each == VersionCap.Each.SPECIES
    return (use.paper, use.taxon, use.each_species, use.per, use.limit) == (
        paper.pk, cap.taxon, each, cap.per, cap.limit,
    )  # fmt: skip


def left_words(use: CapUse, src: PackSources) -> str:
    """What is left by the highest possible use; not known where that has no bound. It may be zero, never below."""
    if use.taken.high is None or use.others.high is None:
        return src.words("unknown")
    return src.words.number(max(use.limit - use.taken.high - use.others.high, 0))


def _count(n: Individuals, src: PackSources) -> Cell:
    w = src.words
    if n.high is None:
        return Cell([plain(w("at_least", low=n.low) if n.low else w("unknown"))])
    return Cell([plain(w.number(n.low) if n.low == n.high else w("between", low=n.low, high=n.high))])


def _tally(stop: NumberedStop, src: PackSources) -> Section:
    """Days down, groups across; a day that is not fixed is a blank to fill in."""
    w = src.words
    title = w("tally", number=stop.number, name=stop.one.stop.name)
    groups = [target.name for target in stop.one.targets] + [w("others")]
    days, is_cut = _days(stop, src)
    blocks: list[Block] = []
    for start in range(0, len(groups), _GROUPS_A_SHEET):
        part = groups[start : start + _GROUPS_A_SHEET]
        rows = [[Cell([plain(day)] if day else []), *(Cell() for _ in part)] for day in days]
        rows.append([Cell([strong(w("total"))]), *(Cell() for _ in part)])
        blocks.append(Table(title, [w("day"), *part], rows, [24, *[76 // len(part)] * len(part)], tall=True))
    if is_cut:
        blocks.append(Para(plain(w("tally_rest", days=_MOST_DAYS)), "note"))
    return Section(title, blocks, level=2)


def _days(stop: NumberedStop, src: PackSources) -> tuple[Sequence[str], bool]:
    first, last = stop.one.stop.first_on, stop.one.stop.last_on
    if first is None or last is None:
        return [""] * _DAYS_UNFIXED, False
    count = (last - first).days + 1
    days = [src.words.day(first + timedelta(number)) for number in range(min(count, _MOST_DAYS))]
    return days, count > _MOST_DAYS
