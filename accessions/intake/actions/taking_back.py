"""A file that was committed by mistake: all specimens that it made are removed together, or none is."""

from __future__ import annotations

from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.intake.actions.commit import wait_for_others
from accessions.intake.actions.errors import IntakeError
from accessions.intake.made import MadeUnknownError, changed_since, specimens_made, still_there
from accessions.intake.models import Batch
from accessions.material.actions.removing import refusing_what_came_between, take_out
from accessions.people.access import Verb, check
from accessions.people.history import WHY_LENGTH, record

_WHY: Final = "Intake %(key)d taken back: %(why)s"
"""The reason in the histories; kept in English, in whatever language its maker reads."""

LONGEST_WHY: Final = WHY_LENGTH - len("Intake 9999999 taken back: ")


def take_back(*, batch: Batch, by: Any, why: str) -> Batch:
    """Remove all specimens that a committed file made. What it made besides (accessions, deliveries, sites, events,
    names) stays, and so does what it changed of specimens that were there before.

    Raises:
        NotAllowedError: the person may not remove specimens.
        IntakeError: it is not in the register, it made nothing, or nobody knows for certain what it made.
        RemovalError: something was done with some of them, or they were changed since; all of that is told.
    """
    check(by, Verb.REMOVE_SPECIMENS)
    if not why.strip():
        raise IntakeError(_("Give the reason."))
    with refusing_what_came_between(), transaction.atomic():
        wait_for_others()
        locked = Batch.objects.select_for_update().defer("data").get(pk=batch.pk)
        keys = _of(locked)
        told = _WHY % {"key": locked.pk, "why": why}
        gone = take_out(keys, by=by, why=told, intake=locked.pk, also=changed_since) if keys else 0
        locked.state = Batch.State.TAKEN_BACK
        locked.taken_back_at, locked.taken_back_by, locked.taken_back_why = timezone.now(), by, why[:WHY_LENGTH]
        locked.summary = locked.summary | {"taken_back": gone}
        fields = ["state", "taken_back_at", "taken_back_by", "taken_back_why", "summary"]
        record(locked, by=by, why=why, fields=fields)
    return locked


def _of(batch: Batch) -> list[int]:
    """The specimens that it made and that are still there."""
    if batch.state != Batch.State.COMMITTED:
        raise IntakeError(_("This file is not in the register, so there is nothing to take back."))
    if not batch.summary.get("new"):
        raise IntakeError(_("This file made no specimens, so there is nothing to take back."))
    try:
        return still_there(specimens_made(batch))
    except MadeUnknownError as error:
        raise IntakeError(str(error)) from error
