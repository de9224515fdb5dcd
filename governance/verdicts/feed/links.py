"""What papers are linked to, in keys that only the engine sees: they cannot clash with what people write."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from governance.engine.tables import Covers
from governance.papers.queries import Links
from governance.verdicts.feed.facts import unshared_site_keys
from governance.verdicts.feed.rows import select, select_by_keys


def links_ever(papers: Iterable[int]) -> dict[int, Links]:
    """By paper what it is linked to or once was."""
    found: dict[int, Links] = defaultdict(Links)
    sql = "SELECT paper_id, all_accessions, accession_id, part_id, site_id, event_id, specimen_id FROM papers_paperlink"
    for paper, every, *keys in select_by_keys(f"{sql} WHERE paper_id IN", papers):
        linked = found[paper]
        linked.all_accessions |= bool(every)
        targets = (linked.accessions, linked.parts, linked.sites, linked.events, linked.specimens)
        for keys_of_kind, key in zip(targets, keys, strict=True):
            if key is not None:
                keys_of_kind.add(key)
    return dict(found)


def accession_key(accession: int, part: int) -> str:
    """An accession, or the part of one; a part of -1 is the material of no part."""
    return f"{accession}/{part}" if part >= 0 else str(accession)


def specimen_key(specimen: int) -> str:
    return f"#{specimen}"


@dataclass(frozen=True)
class LinkKeys:
    """From primary keys to the keys of the engine.

    parts_of: the parts of each accession; site_keys: code and name of each site, names that several share left out.
    of_event: the specimens of each linked event.
    """

    parts_of: Mapping[int, tuple[int, ...]]
    accession_of_part: Mapping[int, int]
    site_keys: Mapping[int, tuple[str, ...]]
    of_event: Mapping[int, frozenset[int]]

    def covers(self, linked: Links) -> Covers:
        """What a paper covers, for the engine."""
        accessions = {accession_key(a, part) for a in linked.accessions for part in (-1, *self.parts_of.get(a, ()))}
        parts = {accession_key(self.accession_of_part[part], part) for part in linked.parts}
        specimens = linked.specimens.union(*(self.of_event[event] for event in linked.events))
        return Covers(
            all_accessions=linked.all_accessions,
            accessions=frozenset(accessions | parts),
            sites=frozenset(key for site in linked.sites for key in self.site_keys[site]),
            specimens=frozenset(map(specimen_key, specimens)),
        )


def link_keys(all_links: Mapping[int, Links]) -> LinkKeys:
    """The keys of all that some paper is linked to."""
    parts: dict[int, list[int]] = defaultdict(list)
    accession_of_part = {}
    for pk, accession in select("SELECT id, accession_id FROM material_part ORDER BY id"):
        parts[accession].append(pk)
        accession_of_part[pk] = accession
    events = sorted({event for linked in all_links.values() for event in linked.events})
    return LinkKeys(
        {a: tuple(of) for a, of in parts.items()}, accession_of_part, unshared_site_keys(), specimens_of_events(events)
    )


def specimens_of_events(events: Sequence[int], among: Collection[int] | None = None) -> dict[int, frozenset[int]]:
    """The specimens for which a link to an event speaks.

    Those of the event, and those that another statement of the same number puts into it, but only in the accessions
    from which the event is known: a field number such as "1" comes again every season, and the paper of one season must
    not speak for another. An event was known from an accession also if its statement was corrected since.

    among: only these specimens, for whoever asks of a few; None: all.
    """
    number_of = dict(select_by_keys("SELECT id, number FROM material_samplingevent WHERE id IN", events))
    accessions_of: dict[int, set[int]] = defaultdict(set)
    for table in ("material_specimen", "material_historicalspecimen"):
        sql = f"SELECT DISTINCT event_id, accession_id FROM {table} WHERE event_id IN"
        for event, accession in select_by_keys(sql, events):
            accessions_of[event].add(accession)
    found: dict[int, set[int]] = {event: set() for event in events}
    for pk, event in _of_events("SELECT s.id, s.event_id FROM material_specimen s", "s.event_id", events, among):
        if event in found:
            found[event].add(pk)
    events_of: dict[str, list[int]] = defaultdict(list)
    for event, number in number_of.items():
        if number:
            events_of[number].append(event)
    sql = (
        "SELECT s.id, s.accession_id, e.number FROM material_specimen s "
        "JOIN material_samplingevent e ON e.id = s.event_id"
    )
    for pk, accession, number in _of_events(sql, "e.number", sorted(events_of), among):
        for event in events_of.get(number, ()):
            if accession in accessions_of[event]:
                found[event].add(pk)
    return {event: frozenset(pks) for event, pks in found.items()}


def _of_events(sql: str, column: str, keys: Sequence[Any], among: Collection[int] | None) -> Iterable[tuple[Any, ...]]:
    """Rows of specimens by the column, or those of some specimens, whose column the caller looks at."""
    if not keys:
        return ()
    if among is None:
        return select_by_keys(f"{sql} WHERE {column} IN", keys)
    return select_by_keys(f"{sql} WHERE s.id IN", among)
