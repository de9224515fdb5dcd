"""Notes on rows of data quality, and the counts that are kept of each day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final, TypeVar

from django.core.cache import cache
from django.db import connection, models

from accessions.people.past import asked_moment
from governance.audit.models import QualityCount, QualityNote
from governance.verdicts.queries.kept_counts import LARGE

T = TypeVar("T")

TREND_DAYS: Final = 90
"""Days of counts that a trend shows."""

MOST_KEPT: Final = 50_000
"""Rows of one question that a process keeps."""

_KEPT_S: Final = 24 * 3600


def standing_notes(question: str) -> dict[str, QualityNote]:
    """The notes of a question that were not withdrawn, by key of their row: one query."""
    found = QualityNote.objects.filter(question=question, withdrawn_at__isnull=True).select_related("noted_by")
    return {note.row: note for note in found}


def counts_since(on: date) -> Mapping[str, Sequence[QualityCount]]:
    """The counts of the last days up to a day, oldest first, by question: one query."""
    found: dict[str, list[QualityCount]] = defaultdict(list)
    since = on - timedelta(days=TREND_DAYS)
    for one in QualityCount.objects.filter(on__gt=since, on__lte=on).order_by("on", "question"):
        found[one.question].append(one)
    return found


def kept_while_unchanged(what: str, of: Sequence[type[models.Model]], find: Callable[[], list[T]]) -> list[T]:
    """What a walk over a large register found, kept by each process until a record of these kinds changes or verdicts
    are worked out anew: the newest entries of their histories are the mark. Of a small register, of an earlier moment,
    and of more rows than ``MOST_KEPT``, nothing is kept. One query besides."""
    if asked_moment() is not None:
        return find()
    mark = _mark(of)
    if mark[0] < LARGE:
        return find()
    key = ":".join(["quality", what, *map(str, mark)])
    kept: list[T] | None = cache.get(key)
    if kept is None:
        kept = find()
        if len(kept) <= MOST_KEPT:
            cache.set(key, kept, _KEPT_S)
    return kept


def _mark(of: Sequence[type[models.Model]]) -> tuple[int, ...]:
    """The largest key of specimens and of runs, and of each history: each the end of an index."""
    quote = connection.ops.quote_name
    histories = [model.history.model._meta for model in of]  # type: ignore[attr-defined]
    ends = [f"(SELECT MAX({quote(meta.pk.column)}) FROM {quote(meta.db_table)})" for meta in histories]
    sizes = ["(SELECT MAX(id) FROM material_specimen)", "(SELECT MAX(id) FROM verdicts_run)"]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join([*sizes, *ends])}")
        row: tuple[int | None, ...] = cursor.fetchone()
    return tuple(end or 0 for end in row)
