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

_PARTS: Final = frozenset({"scans:page-image"})
"""Addresses of which one reading asks many: pictures of the pages of a scan."""
_ONE_READING: Final = timedelta(hours=1)


def keep_openings(opened: Iterable[Opened], *, place: str, reader: Any) -> list[Opening]:
    """A row for each, sealed. Pictures of a scan count once an hour, and not after its page.

    It asks for no right: whoever was let in is written down.
    """
    made = [Opening(**{f"{kind}_id": key}, place=place, opened_by=reader) for kind, key in opened]
    if place in _PARTS:
        made = [one for one in made if not _is_of_a_reading(one)]
    if made:
        with transaction.atomic():
            Opening.objects.bulk_create(made)
            announce(Opening, [one.pk for one in made], by=reader)
    return made


def _is_of_a_reading(one: Opening) -> bool:
    since = timezone.now() - _ONE_READING
    return Opening.objects.filter(scan=one.scan_id, opened_by=one.opened_by_id, opened_at__gte=since).exists()
