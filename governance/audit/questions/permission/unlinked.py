"""Material to which no paper is linked, found set by set: a register may hold a million specimens without papers.

For which specimens a link to an event speaks, and by which keys one to a site is met, is told by
``governance.verdicts.feed``; a test holds the answer against the engine, which asks of single specimens.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.db.models import Count, QuerySet

from governance.engine.tables import fold
from governance.papers.models import PaperLink
from governance.papers.queries.links import standing
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.feed.facts import unshared_site_keys
from governance.verdicts.feed.links import specimens_of_events
from governance.verdicts.models import Standing

_PAIRS: Final = "SELECT DISTINCT accession_id, event_id FROM material_specimen WHERE id {keys}"
_PLACES: Final = "SELECT id, location_id, site_name, site_id FROM material_samplingevent WHERE id {keys}"


@dataclass(frozen=True)
class UnlinkedGroup:
    """Specimens of one accession, part and event without a paper."""

    accession: int
    first_on: date | None
    last_on: date | None
    specimens: int


def unlinked_groups(standings: QuerySet[Standing]) -> Iterator[UnlinkedGroup]:
    """Those of some material. What is linked itself, as an accession or as a part is left out by the database; of the
    rest each event is looked at once. Four queries, five more where papers are linked to events or sites."""
    links = standing().order_by()
    if links.filter(all_accessions=True).exists():
        return
    loose = standings.exclude(accession_key__in=_linked(links, "accession"))
    loose = loose.exclude(specimen__in=_linked(links, "specimen"))
    parts = set(_linked(links, "part"))
    columns = ("accession_key", "part_key", "event_id", "first_on", "last_on")
    rows = [row for row in loose.values_list(*columns).annotate(n=Count("pk")) if row[1] not in parts]
    by_event, at_sites = _by_events(links), _at_sites(links, {row[2] for row in rows})
    for accession, _part, event, first, last, count in rows:
        if event not in at_sites and (accession, event) not in by_event:
            yield UnlinkedGroup(accession, first, last, count)


def _linked(links: QuerySet[PaperLink], target: str) -> QuerySet[PaperLink, int]:
    return links.filter(**{f"{target}__isnull": False}).values_list(target, flat=True)


def _by_events(links: QuerySet[PaperLink]) -> set[tuple[int, int]]:
    """Accessions and events for whose specimens a link to an event speaks: for all of both, or for none."""
    events = sorted(set(_linked(links, "event")))
    specimens = set().union(*specimens_of_events(events).values()) if events else set()
    return {(accession, event) for accession, event in rows_by_keys(_PAIRS, specimens)} if specimens else set()


def _at_sites(links: QuerySet[PaperLink], events: Collection[int]) -> set[int]:
    """Those of the events that stand at a linked site, or write its code or name."""
    sites = set(_linked(links, "site"))
    if not sites or not events:
        return set()
    keys_of = unshared_site_keys()
    wanted = {key for site in sites for key in keys_of[site]}
    return {
        event
        for event, code, name, site in rows_by_keys(_PLACES, events)
        if not wanted.isdisjoint((*(fold(text) for text in (code, name) if text), *keys_of.get(site, ())))
    }
