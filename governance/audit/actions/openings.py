"""Keeps who opened what is restricted."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Any, Final

from django.db import transaction
from django.utils import timezone

from accessions.people.announcing import announce
from governance.audit.models import Opening
from governance.scans.opened import Opened

_OFTEN: Final = frozenset({
    "scans:page-image", "verdicts:today", "duties:duties", "duties:calendar", "duties:rules", "duties:benefits",
    "duties:given-list", "search:search",
})  # fmt: skip
"""Addresses that are asked many times in one reading: pictures of the pages of a scan, and lists that tell words of
many papers."""
_ONE_READING: Final = timedelta(hours=1)


def keep_openings(opened: Iterable[Opened], *, place: str, reader: Any) -> list[Opening]:
    """A row for each, sealed. Pictures and lists count once an hour, and not after the page of the paper or scan.

    It asks for no right: whoever was let in is written down.
    """
    wanted = list(opened)
    if place in _OFTEN:
        known = _of_this_reading(reader)
        wanted = [one for one in wanted if one not in known]
    made = [Opening(**{f"{kind}_id": key}, place=place, opened_by=reader) for kind, key in wanted]
    if made:
        with transaction.atomic():
            Opening.objects.bulk_create(made)
            announce(Opening, [one.pk for one in made], by=reader)
    return made


def _of_this_reading(reader: Any) -> set[Opened]:
    """What the person opened within the last hour. One query."""
    since = timezone.now() - _ONE_READING
    rows = Opening.objects.filter(opened_by=reader, opened_at__gte=since).order_by().values_list("paper", "scan")
    return {("paper", paper) if paper is not None else ("scan", scan) for paper, scan in rows.distinct()}
