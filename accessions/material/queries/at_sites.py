"""What was taken at a site, and what names it without having found it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet

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
    newest = events.annotate(specimen_count=Count("specimens")).order_by("-latest_on", "-pk")[:MOST_EVENTS]
    return AtSite(
        events=list(newest),
        event_count=events.count(),
        specimen_count=Specimen.objects.filter(event__site=site).count(),
        unattached=len(unattached_keys(site)),
    )


def unattached_keys(site: Site) -> list[int]:
    """Events without a site whose words are the code or the name of this one, capitals and blanks aside."""
    words: QuerySet[SamplingEvent, Any] = SamplingEvent.objects.filter(site__isnull=True).filter(
        ~Q(location_id="") | ~Q(site_name="")
    )
    keys = {site.code_key, site.name_key} - {""}
    pairs = words.order_by("pk").values_list("pk", "location_id", "site_name")
    return [pk for pk, code, name in pairs.iterator() if folded(code or name) in keys]
