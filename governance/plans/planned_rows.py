"""A plan as rows of the exchange file: what would be taken, written as if it had been.

One row for each stop, way of taking (a method, or traps that stand) and target group. They are read by the reader of
specimens and judged by the engine of specimens, so that a plan has no rules of its own.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from shapely.geometry import shape

from accessions.sites.models import SiteBoundary
from accessions.values import split_list
from governance.plans.models import Consignment, FieldPlan, Stop, StopTarget, StopTrap

KEY_PREFIX = "plan:"


def plan_key(plan: int, stop: int) -> str:
    """What stands for the accession of a stop in the engine: never the number of a real one."""
    return f"{KEY_PREFIX}{plan}/{stop}"


@dataclass(frozen=True)
class PlannedRow:
    """What would be taken at a stop in one way of one group.

    trap, target: keys, None where there is none. counts: whether the expected number stands on this row; it stands on
    one row of a stop and group alone, however many ways of taking there are. place, home: cells by Darwin Core term.
    """

    plan: int
    stop: int
    method: str = ""
    trap: int | None = None
    target: int | None = None
    name: str = ""
    kingdom: str = ""
    expected: str = ""
    counts: bool = True
    first_on: date | None = None
    last_on: date | None = None
    people: str = ""
    place: tuple[tuple[str, str], ...] = ()
    home: tuple[tuple[str, str], ...] = ()

    @property
    def event(self) -> str:
        """Traps that stand are an event of their own."""
        return f"{plan_key(self.plan, self.stop)}" + (f"/{self.trap}" if self.trap else "")

    @property
    def event_date(self) -> str:
        """ISO 8601, one day or a closed interval; "" while a day is not fixed."""
        if self.first_on is None or self.last_on is None:
            return ""
        first, last = self.first_on.isoformat(), self.last_on.isoformat()
        return first if first == last else f"{first}/{last}"

    def cells(self) -> dict[str, str]:
        """The row of the exchange file."""
        count = {"countRange": self.expected} if self.expected else {"unit": "lot"}
        return {
            "accessionNumber": plan_key(self.plan, self.stop),
            "eventID": self.event,
            "eventDate": self.event_date,
            "samplingProtocol": self.method,
            "recordedBy": self.people,
            "scientificName": self.name,
            "kingdom": self.kingdom,
            **(count if self.counts else {"individualCount": "0"}),
            **dict(self.place),
            **dict(self.home),
        }


@dataclass(frozen=True)
class LoadedStop:
    """A stop with what hangs on it. boundary: of its site, where the stop says no place of its own."""

    stop: Stop
    targets: tuple[StopTarget, ...]
    traps: tuple[StopTrap, ...]
    home: Consignment | None
    boundary: SiteBoundary | None

    @property
    def days(self) -> tuple[date | None, date | None]:
        """From the first day of anything at the stop to the last; None where a day is not fixed."""
        firsts = [self.stop.first_on, *(trap.first_on for trap in self.traps)]
        lasts = [self.stop.last_on, *(trap.last_on for trap in self.traps)]
        return (
            None if None in firsts else min(day for day in firsts if day),
            None if None in lasts else max(day for day in lasts if day),
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
    place, home = _place(one, site_names), _home(one.home)
    ways: list[tuple[str, int | None, date | None, date | None]] = [
        (method, None, stop.first_on, stop.last_on) for method in split_list(stop.methods)
    ]
    ways += [(trap.method, trap.pk, trap.first_on, trap.last_on) for trap in one.traps]
    for group in one.targets or (None,):
        for number, (method, trap, first, last) in enumerate(ways or [("", None, stop.first_on, stop.last_on)]):
            yield PlannedRow(
                plan=plan.pk, stop=stop.pk, method=method, trap=trap, target=group.pk if group else None,
                name=group.name if group else "", kingdom=group.kingdom if group else "",
                expected=group.expected if group else "", counts=number == 0, first_on=first, last_on=last,
                people=stop.people, place=place, home=home,
            )  # fmt: skip


def _place(one: LoadedStop, site_names: dict[int, str]) -> tuple[tuple[str, str], ...]:
    """The place of a stop: its own, else the boundary of its site."""
    stop, site = one.stop, one.stop.site
    cells = {"countryCode": stop.country or (site.country if site else "")}
    if site is not None:
        cells |= {"locationID": site.code, "siteName": site_names.get(site.pk, "")}
    if stop.area or stop.longitude_deg is not None:
        cells |= _shape(stop.area, stop.longitude_deg, stop.latitude_deg, stop.radius_m)
    elif one.boundary is not None:
        cells |= _shape(
            one.boundary.polygon, one.boundary.longitude_deg, one.boundary.latitude_deg, one.boundary.radius_m
        )
    return tuple(cells.items())


def _shape(
    polygon: str, longitude_deg: float | None, latitude_deg: float | None, radius_m: float | None
) -> dict[str, str]:
    cells = {"geodeticDatum": "EPSG:4326", "footprintSRS": "EPSG:4326"}
    if polygon:
        cells["footprintWKT"] = shape(json.loads(polygon)).wkt
    if longitude_deg is not None and latitude_deg is not None:
        cells |= {"decimalLongitude": repr(longitude_deg), "decimalLatitude": repr(latitude_deg)}
        cells["coordinateUncertaintyInMeters"] = "" if radius_m is None else repr(radius_m)
    return cells


def _home(home: Consignment | None) -> tuple[tuple[str, str], ...]:
    if home is None:
        return ()
    return (
        ("exportedOn", home.exported_on), ("importedOn", home.imported_on), ("transferredOn", home.transferred_on),
    )  # fmt: skip


def columns_of(rows: Sequence[PlannedRow]) -> dict[str, list[str]]:
    """The rows as columns by term, "" where a row lacks the term."""
    cells = [row.cells() for row in rows]
    terms = dict.fromkeys(term for row in cells for term in row)
    return {term: [row.get(term, "") for row in cells] for term in terms}
