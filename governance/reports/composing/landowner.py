"""The report to a landowner: what was found on their land, where it is kept, and what was done with it.

Only what was taken for certain at their sites on days of their tenure is told; what may have been is counted, and not
listed. Nothing of other owners, other sites, verdicts or papers goes in. The map has their boundaries alone.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Final

from django.db.models import Q

from accessions.material.models import SamplingEvent, Specimen
from accessions.people.models import Agent, User
from accessions.sites.models import Site
from governance.engine.uses import RecipientKind
from governance.reports.composing import material as reading
from governance.reports.composing import uses as uses_of
from governance.reports.composing import whereabouts as whereabouts_of
from governance.reports.composing.codes import CODES, HERE, IN, OUTSIDE, PERIOD, TENURE, UNDATED, WRITTEN_SITE
from governance.reports.composing.declared import taxon_key
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.framing import framed, kept_back
from governance.reports.composing.material import Material, Place, Taken
from governance.reports.composing.own_scope import OwnScope
from governance.reports.composing.owners import Days, Land, PrivateOwners, Within
from governance.reports.composing.scope import Period, Progress, Scope
from governance.reports.composing.whereabouts import Whereabouts
from governance.reports.composing.written_sites import written_sites
from governance.reports.contents import (
    DISTINCT,
    SUM,
    ColumnType,
    Composed,
    Disclosure,
    Fact,
    Figure,
    MapData,
    Note,
    Proof,
    Row,
    TableData,
    Value,
    figure,
)
from governance.reports.models import Report
from governance.reports.tables import COLUMNS, table
from governance.usedesk.models import DeskRules, Recipient
from governance.usedesk.queries.material import among

DOUBTS: Final = (UNDATED, TENURE, PERIOD, WRITTEN_SITE)
"""Why something is counted and not listed: its day is not known; it reaches beyond the tenure, or the period."""


@dataclass(frozen=True)
class _Found:
    """What was taken on the land. doubts: by question, how many specimens may have been."""

    scope: OwnScope
    agent: Agent
    land: Land
    doubts: Counter[str]
    owners: PrivateOwners
    institution: str
    withheld: Counter[str] = field(default_factory=Counter)

    @cached_property
    def material(self) -> Material:
        return reading.read(self.scope)

    @cached_property
    def whole(self) -> list[Taken]:
        """Without what was taken from a specimen, or pooled."""
        return [row for row in self.material.rows if not self.material.is_derived(row)]

    @cached_property
    def whereabouts(self) -> Whereabouts:
        return whereabouts_of.read(self.scope)

    @cached_property
    def _people(self) -> frozenset[str]:
        """Recipients that are private people, or may be: they are not named."""
        people = Recipient.objects.filter(Q(kind__isnull=True) | Q(kind=int(RecipientKind.INDIVIDUAL)))
        return frozenset(people.values_list("name", flat=True))

    def holder(self, specimen: int) -> str | None:
        """Who keeps a specimen: the house, or an institution that has it; None where nobody does, or a person."""
        now, name = self.whereabouts.of(specimen)
        if now == HERE:
            return self.institution or None
        if name is not None and (name in self._people or self.owners.are_named_in(name)):
            self.withheld["recipients"] += 1
            return None
        return name

    def citation(self, text: str) -> str:
        """A citation without the names of other owners."""
        self.withheld["owners"] += int(self.owners.are_named_in(text))
        return self.owners.masked(text)

    def site(self, place: Place) -> str:
        """The name of one of their sites, without the name of another owner that it may hold."""
        return self.owners.masked(place.site)


def composed(report: Report, reader: User, today: date, progress: Progress | None = None) -> Composed:
    """The report to the landowner of a report."""
    found = _read(Scope.of(report, reader, today, progress))
    species, material = table("species", _species(found)), table("material", _material(found))
    done, published, passed_on = _done(found)
    doubts = [question for question in DOUBTS for _each in range(found.doubts[question])]
    unknown = table("unknown", [(question, None, None, None) for question in doubts])
    tables = [species, material, done, published, unknown]
    sites = {key for row in found.whole if (key := found.material.places[row.event].site_key) is not None}
    drawn = found.land.map_of(Days.of(found.scope.period.first, found.scope.period.last), sites)
    disclosure = Disclosure("landowner", "exact", names_owners=True, kept_back=kept_back(**found.withheld))
    return framed(
        found.scope, found.agent.name, disclosure, tables, facts=_facts(found),
        figures=_figures(material, done, published, unknown),
        notes=[*_notes(found, tables, passed_on), *_not_drawn(found, sites, drawn)], map_data=drawn,
    )  # fmt: skip


def _read(scope: Scope) -> _Found:
    agent = scope.report.agent
    if agent is None:
        raise ValueError("a report to a landowner has no landowner")
    land = Land.of(agent)
    certain, doubtful = _events(land, scope.period)
    own = frozenset(Specimen.objects.filter(among("event", certain)).order_by().values_list("pk", flat=True))
    house = DeskRules.objects.values_list("institution", flat=True).first() or ""
    of_land = OwnScope(scope.report, scope.reader, scope.today, scope.progress, scope.period, own)
    return _Found(of_land, agent, land, _doubts(doubtful), PrivateOwners(agent), house)


def _events(land: Land, period: Period) -> tuple[list[int], dict[int, str]]:
    """Events that were on their land in the period, and by key why others may have been."""
    certain, doubtful = [], {}
    rows = SamplingEvent.objects.filter(among("site", land.tenures)).order_by()
    for pk, site, earliest, latest in rows.values_list("pk", "site", "earliest_on", "latest_on"):
        theirs, when = land.was_theirs(site, earliest, latest), period.of_span(earliest, latest)
        if theirs == Within.NO or when == OUTSIDE:
            continue
        if theirs == Within.YES and when == IN:
            certain.append(pk)
        else:
            doubtful[pk] = UNDATED if earliest is None else (TENURE if theirs != Within.YES else PERIOD)
    return certain, doubtful | dict.fromkeys(_written(land, period), WRITTEN_SITE)


def _written(land: Land, period: Period) -> Iterator[int]:
    """Events that name one of their sites in words alone, on days that may be of the tenure and of the period."""
    rows, meant = written_sites(land.tenures)
    for pk, text, earliest, latest in rows.values_list("pk", "site_name", "earliest_on", "latest_on"):
        is_theirs = any(land.was_theirs(site, earliest, latest) != Within.NO for site in meant[text])
        if is_theirs and period.of_span(earliest, latest) != OUTSIDE:
            yield pk


def _doubts(events: dict[int, str]) -> Counter[str]:
    rows = Specimen.objects.filter(among("event", events), parent__isnull=True, pool_members__isnull=True).order_by()
    return Counter(events[event] for event in rows.values_list("event", flat=True))


def _species(found: _Found) -> list[Row]:
    """A row a taxon and site, by name."""
    groups: dict[tuple[str, str], list[Taken]] = defaultdict(list)
    for row in found.whole:
        place = found.material.places[row.event]
        groups[taxon_key(found.material.names[row.name].shown), found.site(place)].append(row)
    return [
        _of_species(found, rows, site)
        for (taxon, site), rows in sorted(groups.items(), key=lambda item: (item[0][0] == "", item[0]))
    ]


def _of_species(found: _Found, rows: Sequence[Taken], site: str) -> Row:
    places = [found.material.places[row.event] for row in rows]
    days = [place.first_on for place in places if place.is_dated and place.first_on]
    kept = {name for row in rows if (name := found.holder(row.pk))}
    return (
        found.material.names[rows[0].name].shown or None, len(rows), sum(row.low for row in rows),
        min(days, default=None), max(days, default=None), site, "; ".join(sorted(kept)) or None,
    )  # fmt: skip


def _material(found: _Found) -> list[Row]:
    """A row a specimen, so that numbers can be proved. Without positions and localities in words, which may tell of the
    land of others; their own is on the map. Without verdicts."""
    return [tuple(_told(found, row).get(column.key) for column in COLUMNS["material"]) for row in found.whole]


def _told(found: _Found, row: Taken) -> dict[str, Value]:
    place = found.material.places[row.event]
    return {
        "specimen": found.material.numbers[row.pk], "accession": found.material.accessions[row.accession],
        "kind": row.kind, "individuals": row.low, "taxon": found.material.names[row.name].shown,
        "first_on": place.first_on, "last_on": place.last_on, "site": found.site(place),
        "now": found.whereabouts.of(row.pk)[0], "in_period": place.in_period,
    }  # fmt: skip


_NOT_FOR_OWNERS: Final = frozenset({"title", "recipient", "request", "answer", "outside"})
"""Columns of uses that stay blank: who asked for what, in whose words, and how the desk answered."""


def _done(found: _Found) -> tuple[TableData, TableData, int]:
    """Uses and publications of the material, and how often some was lent or given, whenever: what was done, not by whom
    it was asked or answered."""
    scope = replace(found.scope, period=Period())
    uses = uses_of.read(scope, found.material, found.whereabouts)
    rows = uses_of.uses_of(uses, Disclosing(scope, {}))
    keys = [column.key for column in COLUMNS["uses"]]
    told = [
        tuple(None if key in _NOT_FOR_OWNERS else value for key, value in zip(keys, row, strict=True)) for row in rows
    ]
    published = uses_of.publications(uses, found.citation)
    return table("uses", told), table("publications", published), sum(1 for _move in uses.of(uses_of.MOVES))


def _facts(found: _Found) -> list[Fact]:
    house = DeskRules.objects.first()
    sites = sorted({found.site(found.material.places[row.event]) for row in found.whole})
    return [
        Fact("owner", found.agent.name),
        Fact("sites", "; ".join(sites) or None),
        Fact("institution", found.institution or None),
        Fact("address", (house and house.address) or None),
        Fact("made_on", found.scope.today.isoformat(), ColumnType.DAY),
    ]


def _figures(material: TableData, done: TableData, published: TableData, unknown: TableData) -> list[Figure]:
    present = {row[material.place("now")] for row in material.rows}
    return [
        figure("specimens", material),
        figure("individuals", material, measure=SUM + "individuals"),
        figure("taxa", material, measure=DISTINCT + "taxon"),
        figure("sites", material, measure=DISTINCT + "site"),
        *(figure(f"now_{code}", material, where={"now": code}) for code in CODES["whereabouts"] if code in present),
        figure("uses", done),
        figure("publications", published),
        figure("not_known", unknown),
    ]


def _not_drawn(found: _Found, sites: Collection[int], drawn: MapData | None) -> Iterator[Note]:
    """Which sites with finds are not on the map, said beside it and among what is not known."""
    if not sites:
        if drawn is None:
            yield Note("no_boundary", "map")
        return
    on_map = {name for name, _area in drawn.areas} | {point.label for point in drawn.points} if drawn else set()
    codes = dict(Site.objects.filter(pk__in=sites).values_list("pk", "code"))
    places = [found.material.places[row.event] for row in found.whole]
    missing = {found.site(place) for place in places if codes.get(place.site_key or 0) not in on_map}
    if missing:
        told = {"sites": "; ".join(sorted(missing))}
        yield from (Note("site_not_drawn", part, told) for part in ("map", "unknown"))


def _notes(found: _Found, tables: Sequence[TableData], passed_on: int) -> list[Note]:
    species, _rows, done, published, _unknown = tables
    notes = [Note("thanks", "thanks", {"name": found.agent.name})]
    if not species.rows:
        notes.append(Note("nothing_certain" if any(found.doubts.values()) else "nothing_found", "species"))
    if vague := sum(1 for row in found.whole if not found.material.places[row.event].is_dated):
        notes.append(Note("days_not_exact", "species", {"n": vague}))
    if passed_on:
        notes.append(Note("passed_on", "done", {"n": passed_on}))
    elif not done.rows and not published.rows:
        notes.append(Note("nothing_done", "done"))
    notes += [
        Note(f"unknown_{question}", "unknown", {"n": number}, Proof("unknown", {"question": question}))
        for question in DOUBTS
        if (number := found.doubts[question])
    ]
    return notes
