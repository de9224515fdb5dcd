"""The material of a report, a row a specimen: what it is, when and where it was taken, where it is now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, Final, NamedTuple

from accessions.material.models import Accession, SamplingEvent
from accessions.names.models import RANKS, WrittenName
from governance.engine.tables import Verdict
from governance.reports.composing.codes import IN_ORDER, NOT_JUDGED
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.scope import Scope, iso
from governance.reports.composing.whereabouts import Whereabouts
from governance.reports.contents import Row
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.usedesk.queries.material import among

_SPECIES: Final = frozenset({"species", "infraspecies"})
_SOME: Final = 20_000


class Taken(NamedTuple):
    """A specimen as the register holds it, by keys; -1: none."""

    pk: int
    number: str
    accession: int
    part: int
    event: int
    name: int
    parent: int
    kind: str
    low: int
    high: int | None
    assumed: bool


class Place(NamedTuple):
    """When and where something was taken. Days as ISO text; degrees as text; site_key: of the registered site."""

    first_on: str | None
    last_on: str | None
    is_dated: bool
    site: str
    site_key: int | None
    locality: str
    latitude: str | None
    longitude: str | None
    radius_m: float | None
    in_period: str


class Name(NamedTuple):
    """What something is called, and whether that is a species."""

    shown: str
    is_species: bool


@dataclass
class Material:
    """All material of a report in the order of its rows. numbers: what each specimen is called, those that parts were
    taken from, too. pooled: samples that were made of several specimens."""

    rows: list[Taken]
    numbers: dict[int, str]
    places: dict[int, Place]
    names: dict[int, Name]
    accessions: dict[int, str]
    members: dict[int, list[int]]

    def is_derived(self, row: Taken) -> bool:
        """Whether it was taken from another row, so that its individuals are counted there."""
        return row.parent in self._keys or not self._keys.isdisjoint(self.members.get(row.pk, ()))

    @cached_property
    def _keys(self) -> frozenset[int]:
        return frozenset(row.pk for row in self.rows)

    def taken_from(self, row: Taken) -> str:
        """What it was taken from or pooled of, in numbers."""
        sources = ([row.parent] if row.parent >= 0 else []) + self.members.get(row.pk, [])
        return " | ".join(self.numbers[one] for one in sources)


_COLUMNS: Final = (
    "SELECT id, catalog_number, accession_id, COALESCE(part_id, -1), event_id, name_id, COALESCE(parent_id, -1), kind, "
    "count_low, count_high, count_assumed FROM material_specimen WHERE id {keys}"
)


def read(scope: Scope) -> Material:
    """Read it: about eight queries, and some for each 20,000 specimens."""
    keys = scope.keys
    rows: list[Taken] = []
    for first in range(0, len(keys), _SOME):
        rows += map(Taken._make, rows_by_keys(_COLUMNS, keys[first : first + _SOME]))
        scope.tell("material", len(rows), len(keys))
    accessions = dict(
        Accession.objects.filter(among("pk", {row.accession for row in rows})).values_list("pk", "number")
    )
    members = _members(keys)
    rows.sort(key=lambda row: (accessions[row.accession], row.number, row.pk))
    numbers = {row.pk: row.number or f"#{row.pk}" for row in rows}
    elsewhere = {row.parent for row in rows} | {one for of in members.values() for one in of}
    numbers |= _numbers(elsewhere - numbers.keys() - {-1})
    places = _places({row.event for row in rows}, scope)
    return Material(rows, numbers, places, _names({row.name for row in rows}), accessions, members)


def _members(keys: Sequence[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    sql = "SELECT pool_id, member_id FROM material_poolmember WHERE pool_id {keys} ORDER BY pool_id, member_id"
    for pool, member in rows_by_keys(sql, keys):
        found.setdefault(pool, []).append(member)
    return found


def _numbers(keys: Iterable[int]) -> dict[int, str]:
    wanted = list(keys)
    if not wanted:
        return {}
    found = rows_by_keys("SELECT id, catalog_number FROM material_specimen WHERE id {keys}", wanted)
    return {pk: number or f"#{pk}" for pk, number in found}


_OF_EVENT: Final = (
    "pk", "earliest_on", "latest_on", "site__code", "site__name", "site_id", "site_name", "locality", "latitude_deg",
    "longitude_deg", "radius_m",
)  # fmt: skip


def _places(keys: Iterable[int], scope: Scope) -> dict[int, Place]:
    rows = SamplingEvent.objects.filter(among("pk", keys)).order_by().values_list(*_OF_EVENT)
    return {pk: _place(scope, *columns) for pk, *columns in rows.iterator()}


def _place(
    scope: Scope, first: date | None, last: date | None, code: str | None, name: str | None, site: int | None,
    written: str, locality: str, latitude: float | None, longitude: float | None, radius_m: float | None,
) -> Place:  # fmt: skip
    shown = ", ".join(part for part in (code, name) if part) if site is not None else written
    return Place(
        iso(first), iso(last),
        first is not None and first == last, shown, site, locality, _degrees(latitude), _degrees(longitude), radius_m,
        scope.period.of_span(first, last),
    )  # fmt: skip


def _degrees(value: float | None) -> str | None:
    """Degrees as text, to about a decimetre."""
    return None if value is None else f"{value:.6f}".rstrip("0").rstrip(".")


def _names(keys: Iterable[int]) -> dict[int, Name]:
    rows = WrittenName.objects.filter(among("pk", keys)).order_by().values_list("pk", "shown", "rank")
    return {pk: Name(shown, _is_species(shown, rank)) for pk, shown, rank in rows}


def _is_species(shown: str, rank: str) -> bool:
    """Whether a name is of a species or below it; of a name whose rank is not known its words tell."""
    return rank in _SPECIES if rank in RANKS else " " in shown.strip()


@dataclass(frozen=True)
class Shown:
    """What the rows take from elsewhere. worst: by specimen, the verdict that stands. secret: specimens whose place is
    kept back."""

    worst: Mapping[int, int]
    whereabouts: Whereabouts
    secret: frozenset[int]


_VERDICTS: Final = {int(verdict): verdict.code for verdict in Verdict} | {
    int(Verdict.COVERED): IN_ORDER, int(Verdict.NOT_REQUIRED): IN_ORDER,
}  # fmt: skip


def rows_of(material: Material, shown: Shown, disclosing: Disclosing) -> list[Row]:
    """The rows of the table."""
    sites = {key: disclosing.masked(place.site) for key, place in material.places.items()}
    localities = {key: disclosing.masked(place.locality) for key, place in material.places.items()}
    found: list[Row] = []
    for row in material.rows:
        place = material.places[row.event]
        is_open = row.pk not in shown.secret
        now, holder = shown.whereabouts.of(row.pk)
        worst: Any = shown.worst.get(row.pk)
        found.append((
            material.numbers[row.pk], material.accessions[row.accession], row.kind,
            None if material.is_derived(row) else row.low, material.names[row.name].shown, place.first_on,
            place.last_on, sites[row.event] if is_open else None, localities[row.event] if is_open else None,
            place.latitude if is_open else None, place.longitude if is_open else None, material.taken_from(row), now,
            disclosing.masked(holder), NOT_JUDGED if worst is None else _VERDICTS[worst], place.in_period,
        ))  # fmt: skip
    disclosing.count("kept_localities", sum(1 for row in material.rows if row.pk in shown.secret))
    return found
