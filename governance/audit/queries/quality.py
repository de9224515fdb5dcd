"""Notes on rows of data quality, and the counts that are kept of each day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from governance.audit.models import QualityCount, QualityNote

TREND_DAYS: Final = 90
"""Days of counts that a trend shows."""


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
