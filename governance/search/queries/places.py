"""Sites by code and name, and localities as records write them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db import connection
from django.db.models import Count, Q
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import ngettext

from accessions.material.models import SamplingEvent
from accessions.sites.models import Site
from accessions.sites.queries.sites import SiteFilter, sites
from governance.papers.countries import country_name
from governance.search import places_index
from governance.search.asked import Asked, ranked
from governance.search.queries.kinds import Hit, Matches, of_ranked

MOST_EVENTS: Final = 2_000
"""Sampling events that are read for their localities."""


def find_sites(asked: Asked, user: Any) -> Matches:
    """Sites by code and name. One query."""
    rows = Site.objects.order_by("code_key").values_list("pk", "code", "name")
    found = ranked(rows.iterator(), asked)
    address = f"{reverse('sites:sites')}?{urlencode({'q': asked.text})}"
    return of_ranked(found, _sites, address,
                     lambda: sites(SiteFilter(q=asked.text)).count())  # fmt: skip


def _sites(keys: Sequence[int]) -> list[Hit]:
    rows = Site.objects.in_bulk(list(keys))
    return [
        Hit(str(one), reverse("sites:site", args=[one.pk]), country_name(one.country) if one.country else "")
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_localities(asked: Asked, user: Any) -> Matches:
    """Localities of sampling events of which words begin so. Three queries; of more events than ``MOST_EVENTS`` the
    first are read."""
    words = places_index.words_of(asked.text)
    if not words or not any(len(word) > 1 for word in words):
        return Matches()
    events = _events(words)
    found = _grouped(events[:MOST_EVENTS])
    is_more = len(events) > MOST_EVENTS
    return Matches(found, len(found), lambda some: [_hit(one) for one in some], is_more=is_more)


@dataclass
class _Locality:
    """A locality as it is written, whatever the events that give it say besides."""

    written: str
    countries: list[str] = field(default_factory=list)
    events: int = 0


def _grouped(events: Sequence[int]) -> list[_Locality]:
    """The localities of sampling events, those of most events first."""
    rows = SamplingEvent.objects.filter(pk__in=events).order_by("locality", "site_name", "country")
    found: dict[str, _Locality] = {}
    for locality, site, country, n in rows.values_list("locality", "site_name", "country").annotate(n=Count("pk")):
        one = found.setdefault(locality or site, _Locality(locality or site))
        one.events += n
        if country and country not in one.countries:
            one.countries.append(country)
    return sorted(found.values(), key=lambda one: -one.events)


def _events(words: Sequence[str]) -> list[int]:
    """Keys of sampling events with such words; without the index all of them are read."""
    if places_index.exists(connection):
        with connection.cursor() as cursor:
            cursor.execute(*places_index.question(connection, words, MOST_EVENTS + 1))
            return [key for (key,) in cursor.fetchall()]
    condition = Q()
    for word in words:
        condition &= Q(locality__icontains=word) | Q(site_name__icontains=word)
    return list(SamplingEvent.objects.filter(condition).values_list("pk", flat=True)[: MOST_EVENTS + 1])


def _hit(one: _Locality) -> Hit:
    """A locality leads to the specimens that were taken there, as the audit composes their list."""
    composed = [("subject", "material"), ("f", "locality"), ("t", "is"), ("v", one.written), ("g", "1")]
    events = ngettext("%(n)s sampling event", "%(n)s sampling events", one.events) % {"n": intcomma(one.events)}
    detail = ", ".join([*map(country_name, one.countries), events])
    return Hit(one.written, f"{reverse('audit:compose')}?{urlencode(composed)}", detail)
