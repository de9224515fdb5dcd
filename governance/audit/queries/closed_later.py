"""Since when something that a person could read is closed: words that were taken before may tell of it."""

from __future__ import annotations

from datetime import datetime
from functools import reduce
from itertools import pairwise
from operator import and_
from typing import Any

from accessions.people.access import is_open_to, rows_open_to
from governance.papers.models import Paper
from governance.scans.models import Scan


def closed_since(reader: Any) -> datetime | None:
    """The latest moment at which a paper or a scan that was open to people of this role was closed to them, of those
    that are closed today; None: there is none. Two queries.

    Which paper the words of an answer tell of is not kept with them, so all that are older count.
    """
    moments = [_closed(Paper, reader, "restricted_to"), _closed(Scan, reader, "restricted_to", "papers_restricted_to")]
    return max((one for one in moments if one is not None), default=None)


def _closed(model: Any, reader: Any, *columns: str) -> datetime | None:
    """columns: bits of roles, all of which must allow."""
    open_ones = model.objects.all()
    for column in columns:
        open_ones = rows_open_to(open_ones, reader, column)
    closed = model.objects.exclude(pk__in=open_ones.order_by().values("pk")).order_by()
    entries = model.history.filter(id__in=closed.values("pk")).order_by("id", "history_date", "history_id")
    told = [(key, at, is_open_to(reader, reduce(and_, bits)))
            for key, at, *bits in entries.values_list("id", "history_date", *columns)]  # fmt: skip
    moments = [at for (key, _at, was), (same, at, is_open) in pairwise(told) if key == same and was and not is_open]
    return max(moments, default=None)
