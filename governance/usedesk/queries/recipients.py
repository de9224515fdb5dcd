"""Recipients for their list."""

from __future__ import annotations

from django.db.models import Count, F, Q, QuerySet

from governance.usedesk.models import Recipient

_SORTS = {"name": "name", "country": "country", "requests": "request_count"}


def recipients(q: str = "", kind: str = "", sort: str = "name") -> QuerySet[Recipient]:
    """Recipients with ``request_count``: one query."""
    rows = Recipient.objects.annotate(request_count=Count("requests"))
    for word in q.split():
        rows = rows.filter(Q(name__icontains=word) | Q(address__icontains=word) | Q(cites_code__icontains=word))
    if kind:
        rows = rows.filter(kind=int(kind))
    column = F(_SORTS[sort.removeprefix("-")])
    return rows.order_by(column.desc() if sort.startswith("-") else column.asc(), "name", "pk")
