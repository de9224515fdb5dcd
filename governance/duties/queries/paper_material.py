"""The specimens on which papers bear: the way back from ``governance.usedesk.queries.bearing``.

What a link names by key is read from it; by which sites a paper reaches specimens is asked of that module, over all
that may be meant, so that the rule stands once. A test holds both ways against each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from typing import Final

from governance.engine.tables import fold
from governance.papers.queries import Links, links_of
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.feed.links import specimens_of_events
from governance.verdicts.feed.rows import select
from governance.verdicts.touched_sites import events_at, site_keys_ever

_COLUMNS: Final = {"accessions": "accession_id", "parts": "part_id", "specimens": "id"}
_BY_KEYS: Final = "SELECT {column}, id FROM material_specimen WHERE {column} {{keys}}"
_ROWS: Final = (
    "SELECT id, accession_id, COALESCE(part_id, -1), event_id, name_id, COALESCE(parent_id, -1) "
    "FROM material_specimen WHERE event_id {keys}"
)
_TITLES: Final = (
    "SELECT t.paper_id, s.id FROM papers_titlerecord t JOIN material_specimen s ON s.accession_id = t.accession_id "
    "AND (t.part_id IS NULL OR s.part_id = t.part_id) WHERE t.paper_id {keys}"
)


def specimens_under(papers: Collection[int]) -> dict[int, frozenset[int]]:
    """Keys of the specimens on which each paper bears by itself, by key of the paper.

    A query for each kind of link there is, whatever the number of papers; one walk over the events where some is linked
    to sites.
    """
    found: dict[int, set[int]] = {paper: set() for paper in papers}
    linked = links_of(found) if found else {}
    for kind, column in _COLUMNS.items():
        _add(found, {paper: getattr(of, kind) for paper, of in linked.items()}, _by_key(column, linked, kind))
    events = {paper: of.events for paper, of in linked.items() if of.events}
    _add(found, events, specimens_of_events(sorted(set().union(*events.values()))) if events else {})
    for paper, specimen in rows_by_keys(_TITLES, list(found)) if found else ():
        found[paper].add(specimen)
    for paper, specimens in _at_sites({key: of.sites for key, of in linked.items() if of.sites}):
        found[paper].update(specimens)
    if everywhere := [paper for paper, of in linked.items() if of.all_accessions]:
        every = {pk for (pk,) in select("SELECT id FROM material_specimen")}
        found |= dict.fromkeys(everywhere, every)
    return {paper: frozenset(keys) for paper, keys in found.items()}


def _add(found: Mapping[int, set[int]], keys: Mapping[int, set[int]], specimens: Mapping[int, Collection[int]]) -> None:
    for paper, own in keys.items():
        for key in own:
            found[paper].update(specimens.get(key, ()))


def _by_key(column: str, linked: Mapping[int, Links], kind: str) -> dict[int, list[int]]:
    """By the key of what is linked, its specimens."""
    keys: set[int] = set().union(*(getattr(of, kind) for of in linked.values()))
    found: dict[int, list[int]] = defaultdict(list)
    for key, specimen in rows_by_keys(_BY_KEYS.format(column=column), list(keys)) if keys else ():
        found[key].append(specimen)
    return found


def _at_sites(sites: Mapping[int, set[int]]) -> Iterator[tuple[int, set[int]]]:
    """By paper, what it reaches by its sites, of all that stands at one of them or writes its code or name."""
    if not sites:
        return
    every: set[int] = set().union(*sites.values())
    events = events_at(every, {fold(key) for key in site_keys_ever(every)})
    rows = [SpecimenRow(*columns) for columns in rows_by_keys(_ROWS, list(events))]
    borne = bearing(rows).papers if rows else []
    for paper in sites:
        yield paper, {row.pk for row, on in zip(rows, borne, strict=True) if paper in on}
