"""Specimens and papers as links join them, asked both ways by sets of keys."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from governance.engine.tables import LongColumn, fold
from governance.papers.queries import Links
from governance.verdicts.feed.facts import site_keys
from governance.verdicts.feed.links import links_ever
from governance.verdicts.feed.rows import numbers, select, select_by_keys
from governance.verdicts.touched_sites import events_at


def ids_where(column: str, keys: Sequence[int]) -> LongColumn:
    """Specimens whose column holds one of the keys, ascending."""
    found = select_by_keys(f"SELECT id FROM material_specimen WHERE {column} IN", keys)
    return np.sort(np.fromiter((pk for (pk,) in found), np.int64))


def join(parts: Iterable[LongColumn]) -> LongColumn:
    """All keys once, ascending."""
    return np.unique(np.concatenate([np.zeros(0, np.int64), *parts]))


@dataclass(frozen=True)
class Bearings:
    """By what papers can meet some specimens: keys of accessions, parts, events and specimens; papers met anyhow."""

    accessions: frozenset[int] = frozenset()
    parts: frozenset[int] = frozenset()
    events: frozenset[int] = frozenset()
    specimens: frozenset[int] = frozenset()
    papers: frozenset[int] = frozenset()

    @cached_property
    def marks(self) -> EventMarks:
        """Numbers and site keys that the events have or had: by them papers of other events and of sites meet these."""
        return event_marks(self.events)

    def joined(self, other: Bearings) -> Bearings:
        return Bearings(
            self.accessions | other.accessions, self.parts | other.parts, self.events | other.events,
            self.specimens | other.specimens, self.papers | other.papers,
        )  # fmt: skip

    def with_papers(self, papers: Collection[int]) -> Bearings:
        return replace(self, papers=self.papers | frozenset(papers))

    @classmethod
    def ever(
        cls, specimens: Sequence[int], accessions: Sequence[int], parts: Sequence[int], events: Sequence[int]
    ) -> Bearings:
        """What these specimens, and those of these accessions, parts and events, ever were of, by their history."""
        found = cls(frozenset(accessions), frozenset(parts), frozenset(events), frozenset(specimens))
        columns = "SELECT DISTINCT accession_id, COALESCE(part_id, -1), event_id FROM material_historicalspecimen"
        for column, keys in (("id", specimens), ("accession_id", accessions), ("part_id", parts), ("event_id", events)):
            rows = numbers(select_by_keys(f"{columns} WHERE {column} IN", keys), 3)
            found = found.joined(cls(*(frozenset(np.unique(rows[:, n]).tolist()) for n in range(3))))
        return found


def bearings_of(specimens: LongColumn) -> Bearings:
    """What these specimens are of now."""
    sql = "SELECT accession_id, COALESCE(part_id, -1), event_id FROM material_specimen WHERE id IN"
    rows = numbers(select_by_keys(sql, specimens.tolist()), 3)
    accessions, parts, events = (frozenset(np.unique(rows[:, n]).tolist()) for n in range(3))
    return Bearings(accessions, parts - {-1}, events, frozenset(specimens.tolist()))


@dataclass(frozen=True)
class EventMarks:
    """Numbers of events, and folded codes and names of their sites."""

    numbers: frozenset[str]
    sites: frozenset[str]


def event_marks(events: Collection[int]) -> EventMarks:
    """The marks of events, as they are and as they were."""
    found: set[str] = set()
    sites: set[str] = set()
    registered = site_keys()
    for table in ("material_samplingevent", "material_historicalsamplingevent"):
        sql = f"SELECT number, location_id, site_name, site_id FROM {table} WHERE id IN"
        for number, code, name, site in select_by_keys(sql, sorted(events)):
            found.add(number)
            sites.update((fold(code), fold(name), *registered.get(site, ())))
    return EventMarks(frozenset(found - {""}), frozenset(sites - {""}))


@dataclass
class Reach:
    """Papers, and what each is linked to."""

    links: Mapping[int, Links] = field(default_factory=dict)

    @classmethod
    def of_capped_papers(cls) -> Reach:
        """Papers with a cap, with all that they ever were linked to."""
        rows = select(
            "SELECT DISTINCT v.paper_id FROM papers_versioncap c JOIN papers_paperversion v ON v.id = c.version_id"
        )
        return cls(links_ever(sorted(pk for (pk,) in rows)))

    @cached_property
    def _marks(self) -> dict[int, EventMarks]:
        """By paper the numbers of its events and the keys of its sites."""
        events = {event for of in self.links.values() for event in of.events}
        number_of = dict(select_by_keys("SELECT id, number FROM material_samplingevent WHERE id IN", sorted(events)))
        keys = site_keys() if any(of.sites for of in self.links.values()) else {}
        return {
            paper: EventMarks(
                frozenset(number_of[event] for event in of.events) - {""},
                frozenset(key for site in of.sites for key in keys[site]),
            )
            for paper, of in self.links.items()
            if of.events or of.sites
        }

    def specimens(self, papers: Sequence[int]) -> LongColumn | None:
        """Specimens to which these papers are linked; None for all."""
        own = [self.links[paper] for paper in papers]
        if any(of.all_accessions for of in own):
            return None
        columns = {
            "accession_id": set().union(*(of.accessions for of in own)),
            "part_id": set().union(*(of.parts for of in own)),
            "id": set().union(*(of.specimens for of in own)),
            "event_id": self._events_met(papers),
        }
        return join(ids_where(column, sorted(keys)) for column, keys in columns.items())

    def _events_met(self, papers: Sequence[int]) -> set[int]:
        """Events that the papers are linked to, by themselves, by their number or by their site."""
        own = [self.links[paper] for paper in papers]
        marks = [self._marks[paper] for paper in papers if paper in self._marks]
        shared = set().union(*(mark.numbers for mark in marks))
        sites = set().union(*(mark.sites for mark in marks))
        sql = "SELECT id FROM material_samplingevent WHERE number IN"
        events = set().union(*(of.events for of in own)) | {pk for (pk,) in select_by_keys(sql, sorted(shared))}
        return events | (events_at(set().union(*(of.sites for of in own)), sites) if sites else set())

    def meeting(self, bearings: Bearings) -> list[int]:
        """Papers that are linked to any of the specimens."""
        return [paper for paper in self.links if self._meets(paper, bearings)]

    def _meets(self, paper: int, bearings: Bearings) -> bool:
        of = self.links[paper]
        return (
            of.all_accessions
            or paper in bearings.papers
            or not bearings.accessions.isdisjoint(of.accessions)
            or not bearings.parts.isdisjoint(of.parts)
            or not bearings.specimens.isdisjoint(of.specimens)
            or not bearings.events.isdisjoint(of.events)
            or (paper in self._marks and self._meets_by_marks(self._marks[paper], bearings.marks))
        )

    def _meets_by_marks(self, own: EventMarks, others: EventMarks) -> bool:
        return not (own.numbers.isdisjoint(others.numbers) and own.sites.isdisjoint(others.sites))

    def linked_to_sites(self, names: Collection[str]) -> set[int]:
        """Papers that are linked to a site of one of these codes or names."""
        wanted = set(names)
        return {paper for paper, marks in self._marks.items() if not wanted.isdisjoint(marks.sites)}

    def closure(self, specimens: LongColumn, bearings: Bearings) -> LongColumn | None:
        """The specimens, and all that share a paper with them, and all that share one with those; None for all."""
        left = Reach(dict(self.links))
        while met := left.meeting(bearings):
            more = left.specimens(met)
            if more is None:
                return None
            specimens = join([specimens, more])
            bearings = bearings.joined(bearings_of(more))
            left = Reach({paper: of for paper, of in left.links.items() if paper not in met})
        return specimens
