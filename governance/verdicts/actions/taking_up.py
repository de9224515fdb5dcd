"""Marks of changes taken up."""

from __future__ import annotations

from typing import Any

from accessions.material.models import Touch
from governance.verdicts.actions.assessing import Selection, run_selection
from governance.verdicts.models import Run
from governance.verdicts.one_run import one_run


def take_up(*, by: Any) -> Run | None:
    """Judge again what changed; None if nothing did."""
    with one_run():
        touches = list(Touch.objects.values_list("pk", "why"))
        if not touches:
            return None
        selection = Selection("all specimens", touches=[pk for pk, _ in touches])
        return run_selection(selection, by=by, why=touches[-1][1])
