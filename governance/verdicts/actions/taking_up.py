"""Marks of changes taken up: at once where few specimens are touched, else by the worker."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, Final

from django.db import transaction

from accessions.material.models import Specimen, Touch
from governance.verdicts.actions.assessing import run_selection
from governance.verdicts.check import Step, no_step
from governance.verdicts.models import Run
from governance.verdicts.one_run import RunGoesOnError, one_run
from governance.verdicts.renaming import names_used
from governance.verdicts.selecting import Selection, of_touches

AT_ONCE: Final = 2_000
"""Specimens that are judged while a person waits for the page."""

_MARKS_AT_ONCE: Final = 500
_WAIT_S: Final = 2.0


def take_up(*, by: Any, step: Step = no_step) -> Run | None:
    """Judge again what changed; None if nothing did. Waits for a run that goes on."""
    with one_run():
        names, touches = names_used(), _touches()
        return _run(of_touches(touches, names), touches, by=by, step=step) if touches else None


def take_up_soon(*, by: Any) -> Run | None:
    """The same after a change by a person: at once if it is little, else in the background (None)."""
    if not Touch.objects.exists():
        return None
    try:
        with one_run(_WAIT_S):
            names, touches = names_used(), _touches()
            if not touches:
                return None
            selection = of_touches(touches, names) if _may_be_few(touches) else None
            if selection is not None and _size(selection) <= AT_ONCE:
                return _run(selection, touches, by=by, step=no_step)
    except RunGoesOnError:
        pass
    _enqueue(by)
    return None


def _touches() -> list[Touch]:
    return list(Touch.objects.order_by("pk"))


def _run(selection: Selection, touches: Collection[Touch], *, by: Any, step: Step) -> Run:
    reasons = list(dict.fromkeys(touch.why for touch in touches))
    return run_selection(selection, by=by, why="; ".join(reasons), step=step)


def _may_be_few(touches: Collection[Touch]) -> bool:
    """Whether it is worth asking how many specimens they touch."""
    return len(touches) <= _MARKS_AT_ONCE


def _size(selection: Selection) -> int:
    return Specimen.objects.count() if selection.specimens is None else len(selection.specimens)


def _enqueue(by: Any) -> None:
    from governance.verdicts.tasks import take_up_marks

    transaction.on_commit(lambda: take_up_marks.enqueue(by.pk if by is not None and by.pk else None))
