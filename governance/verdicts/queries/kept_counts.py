"""Counts over all that stands, kept by each process until something stands otherwise: for large registers only."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, TypeVar, cast

from django.core.cache import cache
from django.db import connection

from accessions.people.past import asked_moment

T = TypeVar("T")

LARGE: Final = 20_000
"""Specimens with a verdict from which on it is worth while; fewer are counted in some milliseconds."""

_KEPT_S: Final = 24 * 3600

_MARK = """
SELECT (SELECT COUNT(*) FROM verdicts_standing),
       (SELECT MAX(id) FROM verdicts_run WHERE state = 'done'),
       (SELECT MAX(id) FROM verdicts_override),
       (SELECT COUNT(*) FROM verdicts_override WHERE withdrawn_at IS NOT NULL),
       (SELECT COUNT(*) FROM verdicts_override WHERE reviewed_at IS NOT NULL)
"""
"""What stands changes with a run, a decision, its withdrawal, and when specimens go: each changes this row."""


def kept_count(what: str, count: Callable[[], T]) -> T:
    """What ``count`` finds, or found when last something changed. One query besides.

    The mark is read first: what is counted while a run ends is newer than its mark and is not asked for again. Of an
    earlier moment of the register nothing is kept: two of them may have one mark.
    """
    if asked_moment() is not None:
        return count()
    with connection.cursor() as cursor:
        cursor.execute(_MARK)
        (mark,) = cursor.fetchall()
    if mark[0] < LARGE:
        return count()
    key = ":".join(["standing", what, *map(str, mark)])
    return cast("T", cache.get_or_set(key, count, _KEPT_S))
