"""Who opened what is restricted, when, on which page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from governance.audit.models import Opening

HEADERS: Final = ("when", "who", "role", "paper", "scan", "page")

PLACES: Final = {
    "papers:paper": _("page of the paper"),
    "scans:scan": _("page of the scan"),
    "scans:page-image": _("picture of a page"),
    "scans:scan-file": _("file of the scan"),
    "papers:paper-export": _("file of the paper"),
    "papers:papers-export": _("file of several papers"),
    "audit:ask": _("answer of a question"),
    "audit:ask-csv": _("file of an answer"),
    "audit:ask-xlsx": _("file of an answer"),
    "audit:ask-docx": _("file of an answer"),
    "audit:compose": _("answer of a composed question"),
    "audit:compose-csv": _("file of an answer"),
    "audit:compose-xlsx": _("file of an answer"),
    "audit:history": _("history of a record"),
    "audit:write": _("what one write changed"),
    "audit:bundle-make": _("evidence bundle"),
    "duties:duties": _("list of duties"),
    "duties:duty": _("page of a duty"),
    "duties:benefits": _("list of benefits"),
    "verdicts:today": _("Today"),
}
"""Names of the places that are opened most; others are told by their address."""


@dataclass(frozen=True)
class OpeningsWanted:
    """paper: words of its reference. Days count both."""

    paper: str = ""
    by: int | None = None
    first: date | None = None
    last: date | None = None


def openings(wanted: OpeningsWanted) -> QuerySet[Opening]:
    """The openings that are asked for, newest first."""
    rows = Opening.objects.select_related("paper", "scan", "opened_by").order_by("-pk")
    for word in wanted.paper.split():
        rows = rows.filter(Q(paper__reference__icontains=word) | Q(scan__paperscans__paper__reference__icontains=word)
                           ).distinct()  # fmt: skip
    if wanted.by is not None:
        rows = rows.filter(opened_by=wanted.by)
    if wanted.first is not None:
        rows = rows.filter(opened_at__gte=_start(wanted.first))
    if wanted.last is not None and wanted.last < date.max:
        rows = rows.filter(opened_at__lt=_start(wanted.last + timedelta(1)))
    return rows


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def place_words(place: str) -> Any:
    """What people call the page or file that was opened."""
    return PLACES.get(place, place)


def openings_file(wanted: OpeningsWanted) -> Iterator[tuple[Any, ...]]:
    """The same as rows of a file."""
    for one in openings(wanted).iterator(chunk_size=2000):
        yield (
            timezone.localtime(one.opened_at).isoformat(sep=" ", timespec="seconds"), one.opened_by.shown_name,
            str(one.opened_by.get_role_display()), one.paper.reference if one.paper else "",
            f"scan {one.scan_id}" if one.scan_id else "", str(place_words(one.place)),
        )  # fmt: skip
