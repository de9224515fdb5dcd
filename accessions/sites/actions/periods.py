"""What a site was from when to when: its boundaries, owners and occupiers, designations."""

from __future__ import annotations

from datetime import date
from typing import Any, Final, TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import remove
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure
from accessions.sites.queries.sites import overlapping
from accessions.sites.touches import touch_site

Period = SiteBoundary | SiteTenure | SiteDesignation
P = TypeVar("P", SiteBoundary, SiteTenure, SiteDesignation)

EDITABLE: Final[dict[type[Period], frozenset[str]]] = {
    SiteBoundary: frozenset({
        "held_from", "held_to", "polygon", "longitude_deg", "latitude_deg", "radius_m", "error_m", "source"
    }),
    SiteTenure: frozenset({"agent", "kind", "held_from", "held_to", "source"}),
    SiteDesignation: frozenset({"name", "category", "authority", "held_from", "held_to", "source"}),
}  # fmt: skip


def add_period(kind: type[P], site: Site, /, *, by: Any, why: str, **values: Any) -> P:
    """Enter a boundary, a tenure or a designation of a site.

    Raises:
        ValidationError: the period may not be so, or two boundaries would hold on one day.
    """
    check(by, Verb.ENTER_FACTS)
    period = kind(site=site, **values)
    with transaction.atomic():
        _lock(site.pk)
        _refuse_overlap(period)
        add(period, by=by, why=why)
        touch_site(site.pk, by=by, why=why)
    return period


def change_period(period: Period, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change one, or end it by giving its last day. Returns the names of the fields that changed.

    Raises:
        ValidationError: the period may not be so, or two boundaries would hold on one day.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        _lock(period.site_id)
        changed = change(period, values, editable=EDITABLE[type(period)], by=by, why=why)
        if changed:
            _refuse_overlap(period)
            touch_site(period.site_id, by=by, why=why)
    return changed


def remove_period(period: Period, *, by: Any, why: str) -> None:
    """Take away one that was entered by mistake; what has merely ended gets its last day instead."""
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        touch_site(period.site_id, by=by, why=why)
        remove(period, by=by, why=why)


def _lock(site: int) -> None:
    """One person at a time at the periods of a site: two boundaries that overlap are each sound alone."""
    Site.objects.select_for_update().get(pk=site)


def _refuse_overlap(period: Period) -> None:
    other = overlapping(period) if isinstance(period, SiteBoundary) else None
    if other is not None:
        raise ValidationError({
            "held_from": _(
                "These days overlap with the boundary held from %(first)s to %(last)s. A site has one boundary on each "
                "day: end that one first, or change the days of this one."
            )
            % {"first": _day(other.held_from, _("the beginning")), "last": _day(other.held_to, _("now"))}
        })  # fmt: skip


def _day(day: date | None, instead: str) -> str:
    return date_format(day, "j F Y") if day else instead
