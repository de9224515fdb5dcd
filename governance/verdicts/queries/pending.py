"""Changes whose verdicts do not stand yet."""

from __future__ import annotations

from accessions.material.models import Touch


def pending_touches() -> int:
    """How many changes wait to be taken up: verdicts on screen may be about to change."""
    return Touch.objects.count()
