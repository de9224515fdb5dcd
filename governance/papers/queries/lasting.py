"""Papers by how long they last, for a first sieve: whether one covers anything is for the engine to say."""

from __future__ import annotations

from datetime import date

from django.db.models import Q

from governance.papers.models import Paper, PaperStatus


def lasting_until(day: date | None, layers: int) -> list[int]:
    """Keys of papers that serve any of some layers and have not all ended before a day, in the order of registering.

    Left out are papers that were refused. An unread paper is left out too, since it has nothing to be held against.

    Args:
        day: None: whenever they end.
        layers: bits, as a paper keeps them.
    """
    lasts = Q(versions__isnull=False)
    if day is not None:
        lasts &= Q(versions__in_force_to__isnull=True) | Q(versions__in_force_to__gte=day)
    found = Paper.objects.filter(lasts).exclude(statuses__state=PaperStatus.State.REFUSED)
    rows = found.order_by("pk").values_list("pk", "layers").distinct()
    return [pk for pk, served in rows if served & layers]
