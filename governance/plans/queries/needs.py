"""What is to be settled before anyone leaves, with whom to ask, and by when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from accessions.values import read_event_date
from governance.engine.tables import Layer, Verdict
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.cells import CheckedCell
from governance.plans.queries.lead_times import LeadTime, LeadTimes


@dataclass(frozen=True)
class Need:
    """Something to settle before leaving: one layer, one verdict, one authority, perhaps several stops.

    lead: how long it takes, by the country sheet; None where no sheet says. needed_on: the first day on which it must
    be there; None where no day is fixed. start_by: needed_on less the lead time.
    """

    layer: Layer
    verdict: Verdict
    cells: tuple[CheckedCell, ...]
    lead: LeadTime
    needed_on: date | None
    start_by: date | None
    is_late: bool

    @property
    def stops(self) -> tuple[LoadedStop, ...]:
        return tuple(cell.stop for cell in self.cells)

    @property
    def countries(self) -> str:
        """By which needs of one layer and verdict are told apart: where it is taken, and whose authority is asked."""
        taken, asked = country_of(self.cells[0]), asked_of(self.cells[0])
        return taken if taken == asked else f"{taken}-{asked}"


def needs_of(cells: Iterable[CheckedCell], leads: LeadTimes, today: date) -> tuple[Need, ...]:
    """What is to be settled, cells of one layer, verdict and authority together."""
    together: dict[tuple[Layer, Verdict, str, str], list[CheckedCell]] = defaultdict(list)
    for cell in cells:
        if cell.needs_look:
            together[cell.layer, cell.verdict, country_of(cell), asked_of(cell)].append(cell)
    needs = [_need(found, leads, today) for found in together.values()]
    return tuple(sorted(needs, key=lambda need: (need.start_by or date.max, need.needed_on or date.max, need.layer)))


def _need(cells: Sequence[CheckedCell], leads: LeadTimes, today: date) -> Need:
    """Rules may differ by day: the one that asks for the earliest start counts."""
    first = cells[0]
    country, asked = country_of(first), asked_of(first)
    days = sorted({day for cell in cells if (day := needed_on(cell))})
    found = [(leads.of(country, first.layer, day, asked), day) for day in days]
    starts = [(day - timedelta(lead.days), lead) for lead, day in found if lead.days is not None]
    start_by, lead = min(starts, key=lambda start: start[0], default=(None, None))
    if lead is None:
        lead = found[0][0] if found else leads.of(country, first.layer, None, asked)
    is_late = start_by is not None and start_by < today
    return Need(first.layer, first.verdict, tuple(cells), lead, days[0] if days else None, start_by, is_late)


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
    """The first day of a date as written; None where it cannot be read."""
    day = read_event_date(text).earliest_day
    return date.fromordinal(day) if day is not None and day >= date.min.toordinal() else None
