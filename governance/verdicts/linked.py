"""Specimens and papers as links join them, asked both ways by sets of keys."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from governance.engine.tables import LongColumn, fold
from governance.papers.queries import Links
from governance.verdicts.feed.facts import site_keys
from governance.verdicts.feed.links import linking_site_keys, links_ever
from governance.verdicts.feed.rows import numbers, select, select_by_keys


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
    def _events_of(self) -> dict[int, frozenset[int]]:
        """By paper the events that it meets by their number or their site."""
        wanted = {pk: of for pk, of in self.links.items() if of.events or of.sites}
        return _events_met(wanted) if wanted else {}

    def specimens(self, papers: Sequence[int]) -> LongColumn | None:
        """Specimens to which these papers are linked; None for all."""
        own = [self.links[paper] for paper in papers]
        if any(of.all_accessions for of in own):
            return None
        events = set().union(*(self._events_of.get(paper, ()) for paper in papers))
        columns = {
            "accession_id": set().union(*(of.accessions for of in own)),
            "part_id": set().union(*(of.parts for of in own)),
            "id": set().union(*(of.specimens for of in own)),
            "event_id": events,
        }
        return join(ids_where(column, sorted(keys)) for column, keys in columns.items())

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
            or not bearings.events.isdisjoint(self._events_of.get(paper, frozenset()))
        )

    def linked_to_sites(self, names: Collection[str]) -> set[int]:
        """Papers that are linked to a site of one of these codes or names."""
        keys = site_keys()
        return {
            paper for paper, of in self.links.items() if any(not set(names).isdisjoint(keys[site]) for site in of.sites)
        }

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


def _events_met(links: Mapping[int, Links]) -> dict[int, frozenset[int]]:
    """By paper the events that share a number with one that it is linked to, or a key with a site."""
    by_number: dict[str, set[int]] = defaultdict(set)
    by_site: dict[str, set[int]] = defaultdict(set)
    number_of = {}
    registered = site_keys()
    for pk, number, code, name, site in _event_rows():
        number_of[pk] = number
        by_number[number].add(pk)
        for key in {fold(code), fold(name), *registered.get(site, ())} - {""}:
            by_site[key].add(pk)
    keys = linking_site_keys()
    found = {}
    for paper, of in links.items():
        events = {pk for event in of.events for pk in ({event} | _same_number(event, number_of, by_number))}
        events |= {pk for site in of.sites for key in keys.get(site, ()) for pk in by_site[key]}
        found[paper] = frozenset(events)
    return found


def _same_number(event: int, number_of: Mapping[int, str], by_number: Mapping[str, set[int]]) -> set[int]:
    number = number_of.get(event, "")
    return by_number[number] if number else set()


def _event_rows() -> Iterable[tuple[int, str, str, str, int]]:
    """Events as they are and as they were: a paper that met one by an earlier number counted its specimens."""
    columns = "id, number, location_id, site_name, site_id"
    yield from select(f"SELECT {columns} FROM material_historicalsamplingevent")  # type: ignore[misc]
    yield from select(f"SELECT {columns} FROM material_samplingevent")  # type: ignore[misc]
