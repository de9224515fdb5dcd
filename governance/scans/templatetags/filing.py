"""Scans on the pages of other rooms: what is filed there, and the place where files are dropped."""

from __future__ import annotations

from typing import Any

from django import template
from django.conf import settings
from django.contrib.humanize.templatetags.humanize import intcomma
from django.urls import reverse
from django.utils.translation import gettext as _

from accessions.material.models import Accession
from accessions.people.access import Verb, may
from accessions.sites.models import Site
from governance.scans.models import FiledAs, Filing
from governance.scans.queries.filings import FileList, filed_on

register = template.Library()


@register.inclusion_tag("scans/_drop.html", takes_context=True)
def drop_files(context: dict[str, Any], place: Any) -> dict[str, Any]:
    """Where files are dropped on an accession, a site or a paper; nothing for those who may not."""
    request = context["request"]
    return {
        "may_drop": may(request.user, Verb.ATTACH_SCANS),
        "is_sorted": isinstance(place, Accession | Site),
        "action": _address(place),
        "largest_mb": settings.FIELDWRIT_LARGEST_FILE_MB,
        "kinds": [choice for choice in FiledAs.choices if choice[0] != FiledAs.UNSORTED],
        "back": request.get_full_path() if request.method == "GET" else "",
        "csrf_token": context.get("csrf_token"),
    }


@register.inclusion_tag("scans/_drop.html", takes_context=True)
def drop_loose(context: dict[str, Any]) -> dict[str, Any]:
    """Where files are dropped that are filed later."""
    shared = {"action": reverse("scans:scan-drop"), "is_sorted": False, "is_loose": True}
    return drop_files(context, None) | shared


def _address(place: Any) -> str:
    if isinstance(place, Accession):
        return reverse("scans:file-on-accession", args=[place.pk])
    if isinstance(place, Site):
        return reverse("scans:file-on-site", args=[place.pk])
    if place is None:
        return ""
    if hasattr(place, "drop_address"):  # of a room above: it says itself where its files are sent
        return str(place.drop_address)
    return reverse("papers:paper-scans", args=[place.pk])  # an address, not an import: papers are above this room


@register.inclusion_tag("scans/_filed_panel.html", takes_context=True)
def filed_scans(context: dict[str, Any], place: Any) -> dict[str, Any]:
    """The panel of the files of an accession or a site."""
    user = context["request"].user
    found: FileList[Filing] = filed_on(place, user)
    return {"found": found, "place": place, "user": user, "kinds": FiledAs.choices,
            "csrf_token": context.get("csrf_token"), "request": context["request"]}  # fmt: skip


@register.filter
def size_words(size_bytes: int) -> str:
    """``1.8 MB``: decimal units, as file managers and the progress of a drop count."""
    if size_bytes < 1_000_000:
        return _("%(n)s kB") % {"n": intcomma(max(1, round(size_bytes / 1000)))}
    return _("%(n)s MB") % {"n": f"{size_bytes / 1_000_000:,.1f}"}
