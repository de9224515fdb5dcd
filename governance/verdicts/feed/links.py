"""What papers are linked to, in keys that only the engine sees: they cannot clash with what people write."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

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
    event_numbers: number of each linked event, "" where it has none.
    """

    parts_of: Mapping[int, tuple[int, ...]]
    accession_of_part: Mapping[int, int]
    site_keys: Mapping[int, tuple[str, ...]]
    event_numbers: Mapping[int, str]

    def covers(self, linked: Links) -> Covers:
        """What a paper covers, for the engine."""
        accessions = {accession_key(a, part) for a in linked.accessions for part in (-1, *self.parts_of.get(a, ()))}
        parts = {accession_key(self.accession_of_part[part], part) for part in linked.parts}
        numbers = {self.event_numbers[event] for event in linked.events}
        return Covers(
            all_accessions=linked.all_accessions,
            accessions=frozenset(accessions | parts),
            sites=frozenset(key for site in linked.sites for key in self.site_keys[site]),
            events=frozenset(numbers - {""}),
            specimens=frozenset(map(specimen_key, linked.specimens | self._of_unnumbered_events(linked))),
        )

    def _of_unnumbered_events(self, linked: Links) -> set[int]:
        """An event without a number is linked by its specimens."""
        events = [event for event in linked.events if not self.event_numbers[event]]
        return {pk for (pk,) in select_by_keys("SELECT id FROM material_specimen WHERE event_id IN", events)}


def link_keys(all_links: Mapping[int, Links]) -> LinkKeys:
    """The keys of all that some paper is linked to."""
    parts: dict[int, list[int]] = defaultdict(list)
    accession_of_part = {}
    for pk, accession in select("SELECT id, accession_id FROM material_part ORDER BY id"):
        parts[accession].append(pk)
        accession_of_part[pk] = accession
    events = {event for linked in all_links.values() for event in linked.events}
    numbers = dict(select_by_keys("SELECT id, number FROM material_samplingevent WHERE id IN", sorted(events)))
    return LinkKeys({a: tuple(of) for a, of in parts.items()}, accession_of_part, unshared_site_keys(), numbers)
