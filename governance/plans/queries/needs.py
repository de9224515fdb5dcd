"""What is to be settled before anyone leaves, with whom to ask, and by when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Final

from accessions.values import read_event_date
from governance.engine.tables import Layer, Verdict
from governance.plans.models import FIRST_DAY, LAST_DAY
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.cells import CheckedCell
from governance.plans.queries.lead_times import LeadTime, LeadTimes

_RULE_UNKNOWN: Final = frozenset({"no-rule", "requirement-unknown"})
"""Reasons of a cell of which nothing is known but that no sheet says whether the layer is required."""


@dataclass(frozen=True)
class Need:
    """Something to settle before leaving: one layer, one authority or owner to ask, perhaps several stops.

    verdict: the worst of its cells. who: what tells whom to ask, by which needs of one layer are told apart. lead: how
    long it takes, by the country sheet; its days are None where no sheet says. needed_on: the first day on which it
    must be there; None where no day is fixed. start_by: needed_on less the lead time, the earliest of its cells.
    without_sheet: the country that has no sheet, for all layers of which nothing else is known; None for other needs.
    parts: each cell by itself.
    """

    layer: Layer
    verdict: Verdict
    cells: tuple[CheckedCell, ...]
    lead: LeadTime
    needed_on: date | None
    start_by: date | None
    is_late: bool
    who: str = ""
    without_sheet: str | None = None
    parts: tuple[Need, ...] = field(default=(), repr=False, compare=False)

    @property
    def stops(self) -> tuple[LoadedStop, ...]:
        return tuple({cell.stop.stop.pk: cell.stop for cell in self.cells}.values())

    @property
    def layers(self) -> tuple[Layer, ...]:
        """One, but for a country without a sheet."""
        return tuple(sorted({cell.layer for cell in self.cells}))

    @property
    def by_verdict(self) -> dict[Verdict, tuple[LoadedStop, ...]]:
        """The stops of each verdict, the worst first."""
        found: dict[Verdict, dict[int, LoadedStop]] = defaultdict(dict)
        for cell in sorted(self.cells, key=lambda cell: -cell.verdict):
            found[cell.verdict][cell.stop.stop.pk] = cell.stop
        return {verdict: tuple(stops.values()) for verdict, stops in found.items()}

    @property
    def key(self) -> tuple[Layer | None, str]:
        """What makes two needs of two checks the same one."""
        return (self.layer, self.who) if self.without_sheet is None else (None, self.without_sheet)


def needs_of(
    cells: Iterable[CheckedCell], leads: LeadTimes, today: date, owners: Mapping[int, str]
) -> tuple[Need, ...]:
    """What is to be settled, cells of one layer and authority together.

    Args:
        owners: by stop who owns or occupies its land.
    """
    together: dict[tuple[Layer | None, str], list[Need]] = defaultdict(list)
    for cell in cells:
        if cell.needs_look:
            part = _part(cell, leads, today, owners)
            together[part.key].append(part)
    return _soonest_first(map(merged, together.values()))


def by_verdict(needs: Iterable[Need]) -> tuple[Need, ...]:
    """The same with verdicts apart: where two checks are compared, a gap that comes beside a worse one is not lost."""
    together: dict[tuple[object, Verdict], list[Need]] = defaultdict(list)
    for need in needs:
        for part in need.parts:
            together[need.key, part.verdict].append(part)
    return _soonest_first(map(merged, together.values()))


def _soonest_first(needs: Iterable[Need]) -> tuple[Need, ...]:
    return tuple(sorted(needs, key=lambda need: (need.start_by or date.max, need.needed_on or date.max, need.layer)))


def merged(parts: Sequence[Need]) -> Need:
    """Needs of single cells as one. Whom to ask is as of the one that must be started first."""
    cells = tuple(cell for part in parts for cell in part.cells)
    days = [part.needed_on for part in parts if part.needed_on]
    if any(part.without_sheet is not None and part.needed_on is None for part in parts):
        days = []  # a day of the way home is not the first while that of the stop is not fixed
    first = min(parts, key=lambda part: (part.start_by or date.max, part.needed_on or date.max))
    return replace(
        first, layer=min(part.layer for part in parts), verdict=max(part.verdict for part in parts), cells=cells,
        needed_on=min(days, default=None), is_late=any(part.is_late for part in parts), parts=tuple(parts),
    )  # fmt: skip


def _part(cell: CheckedCell, leads: LeadTimes, today: date, owners: Mapping[int, str]) -> Need:
    """One cell by itself."""
    country, asked, day = country_of(cell), asked_of(cell), needed_on(cell)
    if _has_no_sheet(cell, leads):
        return Need(cell.layer, cell.verdict, (cell,), LeadTime(country), day, None, False, without_sheet=country)
    lead, who = leads.of(country, cell.layer, day, asked), asked
    if cell.layer == Layer.LAND:
        owner = owners.get(cell.stop.stop.pk, "")
        lead, who = replace(lead, authority=owner, contact=""), f"{asked}: {owner}"
    start_by = day - timedelta(lead.days) if day and lead.days is not None else None
    return Need(cell.layer, cell.verdict, (cell,), lead, day, start_by, start_by is not None and start_by < today, who)


def _has_no_sheet(cell: CheckedCell, leads: LeadTimes) -> bool:
    """Whether all that is to be said of a cell is that its country has no sheet, or is not known."""
    country = country_of(cell)
    if cell.verdict != Verdict.CANNOT_TELL or (country and country in leads.sheets):
        return False
    codes = {code for answer in cell.answers if answer.verdict == cell.verdict for code in answer.codes}
    return codes <= _RULE_UNKNOWN


def country_of(cell: CheckedCell) -> str:
    """The country whose sheet says what is required: of the stop, or of its site."""
    stop = cell.stop.stop
    return stop.country or (stop.site.country if stop.site else "")


def asked_of(cell: CheckedCell) -> str:
    """The country whose authority is asked: that of the stop; on the way home that of leaving, or of arrival."""
    home = cell.stop.home
    if cell.layer == Layer.IMPORT:
        return home.to_country if home else ""
    if cell.layer in (Layer.EXPORT, Layer.CITES) and home and home.from_country:
        return home.from_country
    return country_of(cell)


def needed_on(cell: CheckedCell) -> date | None:
    """The first day on which the paper must be there: the day of the way home for its layers, else that of the stop."""
    home = cell.stop.home
    if cell.layer < Layer.EXPORT:
        return cell.stop.days[0]
    if home is None:
        return None
    text = {Layer.IMPORT: home.imported_on, Layer.TRANSFER: home.transferred_on}.get(cell.layer, home.exported_on)
    return first_day(text)


def first_day(text: str) -> date | None:
    """The first day of a date as written; None where it cannot be read, or is of another age: a slip of typing."""
    day = read_event_date(text).earliest_day
    if day is None or not FIRST_DAY.toordinal() <= day <= LAST_DAY.toordinal():
        return None
    return date.fromordinal(day)
