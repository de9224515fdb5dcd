"""Sites for lists and pages."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.changes import Change, changes_of, newest_first
from accessions.sites.keys import folded
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure

SORTS = {
    "code": ("code_key",),
    "-code": ("-code_key",),
    "name": ("name_key", "code_key"),
    "-name": ("-name_key", "code_key"),
    "country": ("country", "code_key"),
    "-country": ("-country", "code_key"),
    "events": ("event_count", "code_key"),
    "-events": ("-event_count", "code_key"),
}
"""Orders of the list."""

BOUNDARY_KNOWN, BOUNDARY_MISSING = "known", "missing"


@dataclass(frozen=True)
class SiteFilter:
    """What the list is narrowed to; blank is all."""

    q: str = ""
    country: str = ""
    boundary: str = ""
    sort: str = "code"


def _in_force(on_day: date) -> Q:
    return (Q(held_from__isnull=True) | Q(held_from__lte=on_day)) & (Q(held_to__isnull=True) | Q(held_to__gte=on_day))


def sites(narrowed: SiteFilter) -> QuerySet[Site]:
    """Sites with ``has_boundary``, ``event_count`` and the tenures of today as ``tenures_now``: two queries."""
    rows = Site.objects.annotate(
        has_boundary=Exists(SiteBoundary.objects.filter(site=OuterRef("pk"))),
        event_count=Coalesce(Subquery(_events_of_site()), 0),
    )
    if narrowed.q:
        key = folded(narrowed.q)
        rows = rows.filter(Q(code_key__contains=key) | Q(name_key__contains=key))
    if narrowed.country:
        rows = rows.filter(country=narrowed.country)
    if narrowed.boundary in (BOUNDARY_KNOWN, BOUNDARY_MISSING):
        rows = rows.filter(has_boundary=narrowed.boundary == BOUNDARY_KNOWN)
    held = SiteTenure.objects.filter(_in_force(timezone.localdate())).select_related("agent")
    return rows.order_by(*SORTS.get(narrowed.sort, SORTS["code"])).prefetch_related(
        Prefetch("tenures", queryset=held, to_attr="tenures_now")
    )


def _events_of_site() -> QuerySet[Any, Any]:
    """Events of one site, counted. They are of the room of material, above: reached by the relation that it adds."""
    events: Any = Site._meta.get_field("events").related_model
    rows: QuerySet[Any, Any] = events._default_manager.filter(site=OuterRef("pk")).order_by()
    counted: QuerySet[Any, Any] = rows.values("site").annotate(n=Count("pk")).values("n")
    return counted


def countries_of_sites() -> list[str]:
    """The countries that sites have, in their order."""
    return list(Site.objects.exclude(country="").order_by("country").values_list("country", flat=True).distinct())


@dataclass(frozen=True)
class SitePeriods:
    """What a site was from when to when."""

    boundaries: list[SiteBoundary]
    tenures: list[SiteTenure]
    designations: list[SiteDesignation]


def periods_of(site: Site) -> SitePeriods:
    """Boundaries, tenures and designations of a site, each by its first day, an open start first."""
    return SitePeriods(
        boundaries=list(site.boundaries.all()),
        tenures=list(site.tenures.select_related("agent")),
        designations=list(site.designations.all()),
    )


def changes_of_site(site: Site) -> list[Change]:
    """The history of a site and of all that belongs to it."""
    return newest_first(
        changes_of(Site, id=site.pk),
        changes_of(SiteBoundary, _("boundary"), site_id=site.pk),
        changes_of(SiteTenure, site_id=site.pk),
        changes_of(SiteDesignation, site_id=site.pk),
    )


def overlapping(boundary: SiteBoundary) -> SiteBoundary | None:
    """Another boundary of the same site that holds on one of its days; a site has one boundary a day."""
    others: Iterable[SiteBoundary] = SiteBoundary.objects.filter(site_id=boundary.site_id).exclude(pk=boundary.pk)
    first, last = boundary.held_from or date.min, boundary.held_to or date.max
    return next(
        (other for other in others if (other.held_from or date.min) <= last and (other.held_to or date.max) >= first),
        None,
    )
