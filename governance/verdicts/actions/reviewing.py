"""A second person looks at a decision beside a verdict: agrees, and it counts; or refuses, and it is withdrawn."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.verdicts.actions.overrides import OverrideError, sentence
from governance.verdicts.models import Override
from governance.verdicts.standing_columns import fill_columns


def agree(*, override: Override, note: str, by: Any) -> Override:
    """Agree to a decision of somebody else: from now on it counts.

    Raises:
        NotAllowedError: the person may not review decisions.
        OverrideError: it waits no longer, it is their own, or the note is no sentence.
    """
    check(by, Verb.REVIEW_DECISIONS)
    note = sentence(note)
    with transaction.atomic():
        current = _waiting(override, by)
        current.reviewed_at, current.reviewed_by, current.review_note = timezone.now(), by, note
        record(current, by=by, why=note, fields=["reviewed_at", "reviewed_by", "review_note"])
        fill_columns("SELECT id FROM material_specimen WHERE id = %s", [current.specimen_id])
    return current


def refuse(*, override: Override, reason: str, by: Any) -> Override:
    """Refuse a decision of somebody else: it is withdrawn without ever having counted, and stays in the record.

    Raises:
        NotAllowedError: the person may not review decisions.
        OverrideError: it waits no longer, it is their own, or the reason is no sentence.
    """
    check(by, Verb.REVIEW_DECISIONS)
    reason = sentence(reason)
    with transaction.atomic():
        current = _waiting(override, by)
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, reason
        record(current, by=by, why=reason, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    return current


def _waiting(override: Override, by: Any) -> Override:
    """The decision, held until the review is written."""
    current = Override.objects.select_for_update().get(pk=override.pk)
    if not current.waits:
        raise OverrideError(_("This decision does not wait for a second person any more."))
    if current.decided_by_id == by.pk:
        raise OverrideError(_("You made this decision yourself. Another person looks at it."))
    return current
