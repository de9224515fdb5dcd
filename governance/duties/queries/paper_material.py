"""The specimens on which papers bear: the way back from ``governance.usedesk.queries.bearing``.

What a link names by key is read from it; by which sites a paper reaches specimens is asked of that module, over all
that may be meant, so that the rule stands once. A test holds both ways against each other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Final

from governance.engine.tables import fold
from governance.papers.queries import Links, links_of
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.feed.links import specimens_of_events
from governance.verdicts.feed.rows import select
from governance.verdicts.touched_sites import events_at, site_keys_ever

_BY_KEYS: Final = "SELECT id FROM material_specimen WHERE {column} {{keys}}"
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

    A few queries for each paper, and one walk over the events where some is linked to sites.
    """
    found: dict[int, set[int]] = {paper: set() for paper in papers}
    if not found:
        return {}
    linked = links_of(found)
    for paper, links in linked.items():
        found[paper].update(_linked(links))
    for paper, specimen in rows_by_keys(_TITLES, list(found)):
        found[paper].add(specimen)
    for paper, specimens in _at_sites({key: of.sites for key, of in linked.items() if of.sites}):
        found[paper].update(specimens)
    return {paper: frozenset(keys) for paper, keys in found.items()}


def _linked(links: Links) -> set[int]:
    """What a link reaches by its key."""
    if links.all_accessions:
        return {pk for (pk,) in select("SELECT id FROM material_specimen")}
    found: set[int] = set()
    for column, keys in (("accession_id", links.accessions), ("part_id", links.parts), ("id", links.specimens)):
        if keys:
            found.update(pk for (pk,) in rows_by_keys(_BY_KEYS.format(column=column), list(keys)))
    return found.union(*specimens_of_events(sorted(links.events)).values()) if links.events else found


def _at_sites(sites: dict[int, set[int]]) -> Iterator[tuple[int, set[int]]]:
    """By paper, what it reaches by its sites, of all that stands at one of them or writes its code or name."""
    if not sites:
        return
    every = set().union(*sites.values())
    events = events_at(every, {fold(key) for key in site_keys_ever(every)})
    rows = [SpecimenRow(*columns) for columns in rows_by_keys(_ROWS, list(events))]
    borne = bearing(rows).papers if rows else []
    for paper in sites:
        yield paper, {row.pk for row, on in zip(rows, borne, strict=True) if paper in on}
