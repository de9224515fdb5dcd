"""What was taken at a site, and what names it without having found it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from operator import or_

from django.db.models import Count, F, Q

from accessions.material.models import SamplingEvent, Specimen
from accessions.sites.keys import folded
from accessions.sites.models import Site

MOST_EVENTS = 25
"""The newest events that the page of a site shows."""


@dataclass(frozen=True)
class AtSite:
    """events: the newest, with ``specimen_count``. unattached: events that name the site and do not point at it."""

    events: list[SamplingEvent]
    event_count: int
    specimen_count: int
    unattached: int


def taken_at(site: Site) -> AtSite:
    """What was taken at a site: four queries."""
    events = SamplingEvent.objects.filter(site=site)
    counted = events.annotate(specimen_count=Count("specimens"))
    newest = counted.order_by(F("latest_on").desc(nulls_last=True), "-pk")[:MOST_EVENTS]
    return AtSite(
        events=list(newest),
        event_count=events.count(),
        specimen_count=Specimen.objects.filter(event__site=site).count(),
        unattached=len(unattached_keys(site)),
    )


def unattached_keys(site: Site) -> list[int]:
    """Events without a site whose words are the code or the name of this one, capitals and blanks aside."""
    events = SamplingEvent.objects.filter(site__isnull=True).exclude(location_id="", site_name="").order_by()
    pairs = [pair for pair in events.values_list("location_id", "site_name").distinct() if _names(site, *pair)]
    if not pairs:
        return []
    named = reduce(or_, (Q(location_id=code, site_name=name) for code, name in pairs))
    return list(events.filter(named).order_by("pk").values_list("pk", flat=True))


def _names(site: Site, code: str, name: str) -> bool:
    """A record finds a site by its code alone, and only without one by its name."""
    return folded(code) == site.code_key if code else folded(name) in {site.code_key, site.name_key}
