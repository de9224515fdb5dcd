"""A plan as rows of the exchange file: what would be taken, written as if it had been.

One row for each stop, way of taking (a method, or traps that stand) and target group. They are read by the reader of
specimens and judged by the engine of specimens, so that a plan has no rules of its own. Beside them stands one row for
the expected number of each group at each stop, since one number is expected of all ways together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from accessions.sites.models import SiteBoundary
from accessions.values import split_list
from accessions.values.blanks import is_blank
from governance.plans.models import Consignment, FieldPlan, Stop, StopTarget, StopTrap
from governance.plans.planned_places import place_cells

KEY_PREFIX = "plan:"


def plan_key(plan: int, stop: int) -> str:
    """What stands for the accession of a stop in the engine: never the number of a real one."""
    return f"{KEY_PREFIX}{plan}/{stop}"


@dataclass(frozen=True)
class PlannedRow:
    """What would be taken at a stop in one way of one group.

    trap, target: keys, None where there is none. counts: whether the expected number stands on this row; it stands on
    one row of a stop and group alone, however many ways of taking there are. place, home: cells by Darwin Core term.
    is_site: the place is the registered site itself, as large as it is.
    """

    plan: int
    stop: int
    method: str = ""
    trap: int | None = None
    target: int | None = None
    name: str = ""
    kingdom: str = ""
    rank: str = ""
    higher: str = ""
    expected: str = ""
    counts: bool = True
    first_on: date | None = None
    last_on: date | None = None
    people: str = ""
    place: tuple[tuple[str, str], ...] = ()
    home: tuple[tuple[str, str], ...] = ()
    is_site: bool = False

    @property
    def event(self) -> str:
        """All that is taken at a stop is one event, traps too: a limit on one event then holds for each part of it."""
        return plan_key(self.plan, self.stop)

    @property
    def group(self) -> tuple[int, int, int | None]:
        """Rows of one plan, stop and target group share one expected number."""
        return self.plan, self.stop, self.target

    @property
    def event_date(self) -> str:
        """ISO 8601, one day or a closed interval; "" while a day is not fixed."""
        if self.first_on is None or self.last_on is None:
            return ""
        first, last = self.first_on.isoformat(), self.last_on.isoformat()
        return first if first == last else f"{first}/{last}"

    def cells(self) -> dict[str, str]:
        """The row of the exchange file, as written."""
        count = {"countRange": self.expected} if self.expected.strip() else {"unit": "lot"}
        return {
            "accessionNumber": plan_key(self.plan, self.stop),
            "eventID": self.event,
            "eventDate": self.event_date,
            "samplingProtocol": self.method,
            "recordedBy": self.people,
            "scientificName": self.name,
            "kingdom": self.kingdom,
            "taxonRank": self.rank,
            "higherClassification": self.higher,
            **(count if self.counts else {"individualCount": "0"}),
            **dict(self.place),
            **dict(self.home),
        }


@dataclass(frozen=True)
class LoadedStop:
    """A stop with what hangs on it.

    boundaries: of its site, where the stop says no place of its own: all that hold on any of its days; none if there is
    a day on which none holds.
    """

    stop: Stop
    targets: tuple[StopTarget, ...]
    traps: tuple[StopTrap, ...]
    home: Consignment | None
    boundaries: tuple[SiteBoundary, ...] = ()

    @property
    def boundary(self) -> SiteBoundary | None:
        """The first of the boundaries, for a drawing."""
        return self.boundaries[0] if self.boundaries else None

    @property
    def days(self) -> tuple[date | None, date | None]:
        """From the first day of anything at the stop to the last; None where a day is not fixed."""
        return days_of(self.stop, self.traps)


def days_of(stop: Stop, traps: Sequence[StopTrap]) -> tuple[date | None, date | None]:
    """The first and the last day of what is done at a stop. A stop of traps alone needs no days of its own."""
    timed: list[Stop | StopTrap] = [*traps]
    if not traps or split_list(stop.methods) or stop.first_on or stop.last_on:
        timed.append(stop)
    return _hull(timed)


def _hull(timed: Sequence[Stop | StopTrap | PlannedRow]) -> tuple[date | None, date | None]:
    """From the first day to the last; None where one is not fixed."""
    firsts = [one.first_on for one in timed if one.first_on]
    lasts = [one.last_on for one in timed if one.last_on]
    return (
        min(firsts) if len(firsts) == len(timed) else None,
        max(lasts) if len(lasts) == len(timed) else None,
    )


@dataclass(frozen=True)
class LoadedPlan:
    """A plan with its stops, read once."""

    plan: FieldPlan
    stops: tuple[LoadedStop, ...]
    homes: tuple[Consignment, ...]


def planned_rows(loaded: LoadedPlan, site_names: dict[int, str]) -> list[PlannedRow]:
    """All rows of a plan. site_names: by key the name of each site that no other site bears."""
    return [row for one in loaded.stops for row in _rows_of(loaded.plan, one, site_names)]


def _rows_of(plan: FieldPlan, one: LoadedStop, site_names: dict[int, str]) -> Iterator[PlannedRow]:
    stop = one.stop
    place, home = place_cells(stop, one.boundaries, site_names), _home(one.home)
    is_site = stop.site_id is not None and not (stop.area or stop.longitude_deg is not None)
    ways: list[tuple[str, int | None, date | None, date | None]] = [
        (method, None, stop.first_on, stop.last_on) for method in split_list(stop.methods)
    ]
    ways += [(trap.method, trap.pk, trap.first_on, trap.last_on) for trap in one.traps]
    for group in one.targets or (None,):
        for number, (method, trap, first, last) in enumerate(ways or [("", None, stop.first_on, stop.last_on)]):
            yield PlannedRow(
                plan=plan.pk, stop=stop.pk, method=method, trap=trap, target=group.pk if group else None,
                name=group.name if group else "", kingdom=group.kingdom if group else "",
                rank=group.rank if group else "", higher=group.higher if group else "",
                expected=group.expected if group else "", counts=number == 0, first_on=first, last_on=last,
                people=stop.people, place=place, home=home, is_site=is_site,
            )  # fmt: skip


def _home(home: Consignment | None) -> tuple[tuple[str, str], ...]:
    if home is None:
        return ()
    return (
        ("exportedOn", home.exported_on), ("importedOn", home.imported_on), ("transferredOn", home.transferred_on),
    )  # fmt: skip


def number_rows(judged: Iterable[PlannedRow], beside: Iterable[PlannedRow] = ()) -> list[PlannedRow]:
    """What is expected of each group at each stop, on a row of its own: of all ways together, on all their days.

    A row that is judged may be one of a trial: it then says where and what its group is taken. The number is that of
    the row that carries it, judged or beside. The days are those of all: whichever way takes it first or last, the
    number may have been taken by then.
    """
    shown, others = _by_group(judged), _by_group(beside)
    found = []
    for group in dict.fromkeys([*others, *shown]):
        of_group, rest = shown.get(group) or others[group], others.get(group, [])
        bearing = next((row for row in [*of_group, *rest] if row.counts), of_group[0])
        first, last = _hull([*of_group, *rest])
        alike = {(row.name, row.kingdom, row.rank, row.higher, row.place): row for row in of_group}
        found += [
            replace(row, expected=bearing.expected, counts=True, first_on=first, last_on=last, trap=None)
            for row in alike.values()
        ]
    return found


def _by_group(rows: Iterable[PlannedRow]) -> dict[tuple[int, int, int | None], list[PlannedRow]]:
    found: dict[tuple[int, int, int | None], list[PlannedRow]] = defaultdict(list)
    for row in rows:
        found[row.group].append(row)
    return dict(found)


def columns_of(rows: Sequence[PlannedRow]) -> dict[str, list[str]]:
    """The rows as columns by term, read as the reader of files reads them: trimmed, and "" where blank."""
    cells = [row.cells() for row in rows]
    terms = dict.fromkeys(term for row in cells for term in row)
    return {term: _read(term, [row.get(term, "") for row in cells]) for term in terms}


def _read(term: str, cells: Sequence[str]) -> list[str]:
    read = {text: "" if is_blank(text, term) else text.strip() for text in set(cells)}
    return [read[text] for text in cells]
