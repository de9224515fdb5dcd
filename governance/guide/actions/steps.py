"""First steps left out, and taken up again."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.guide.models import SkippedStep, Step


def skip_step(step: Step, *, by: Any, why: str) -> bool:
    """Leave a step out, for everybody: of those who lead the register. Whether it was not left out before.

    Raises:
        NotAllowedError: the person may not edit country sheets.
    """
    check(by, Verb.EDIT_SHEETS)
    try:
        with transaction.atomic():
            record(SkippedStep(step=step, skipped_by=by), by=by, why=why)
    except IntegrityError:  # it is left out already, perhaps by somebody else this moment
        return False
    return True


def take_up_step(step: Step, *, by: Any, why: str) -> bool:
    """Take a step up again that was left out. Whether it was left out.

    Raises:
        NotAllowedError: as ``skip_step``.
    """
    check(by, Verb.EDIT_SHEETS)
    with transaction.atomic():
        found = SkippedStep.objects.select_for_update().filter(step=step, taken_up_at__isnull=True).first()
        if found is None:
            return False
        found.taken_up_at, found.taken_up_by = timezone.now(), by
        record(found, by=by, why=why, fields=["taken_up_at", "taken_up_by"])
    return True
