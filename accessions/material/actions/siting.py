"""Events that name a site in words, pointed at the registered site of that code or name."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from accessions.material.models import SamplingEvent
from accessions.material.queries.at_sites import unattached_keys
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.bulk import update
from accessions.sites.models import Site


def attach_events(site: Site, *, by: Any, why: str) -> int:
    """Point all events that name this site, and point at none, at it. Returns how many."""
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        keys = unattached_keys(site)
        update(SamplingEvent, ("site_id",), [(site.pk,)] * len(keys), keys, by=by, why=why)
        if keys:
            touch(Scope.SITE, [site.pk], by=by, why=why)
    return len(keys)
