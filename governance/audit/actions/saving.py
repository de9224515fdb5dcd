"""Saving questions, changing and removing them, and putting back what was removed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record
from governance.audit.actions.errors import AuditError
from governance.audit.models import Follower, SavedQuestion
from governance.audit.queries.saved import is_keeper, visible

EDITABLE: Final = ("title", "is_shared", "schedule")


def save_question(
    *, values: Mapping[str, Any], ready: str, asked: Mapping[str, str], composed: Mapping[str, Any], by: Any,
    follows: bool = True, is_mailed: bool = False,
) -> SavedQuestion:  # fmt: skip
    """Save a question; who saves it follows it on Today, unless they do not want to.

    Args:
        values: title, is_shared, schedule.
        ready: the key of a ready question, "" for a composed one.
        asked: parameters and clocks as the address writes them.

    Raises:
        ValidationError: the title is missing, or taken by another question of this person.
    """
    check(by, Verb.KEEP_QUESTIONS)
    told = {name: values[name] for name in EDITABLE if name in values}
    with transaction.atomic():
        saved = SavedQuestion(
            ready=ready, values=dict(asked), composed=dict(composed), owner=by, saved_by=by, **told
        )  # fmt: skip
        add(saved, by=by, why=gettext_noop("saved"))
        if follows or is_mailed:
            follower = Follower(question=saved, user=by, is_on_today=follows, is_mailed=is_mailed)
            add(follower, by=by, why=gettext_noop("saved it"))
    return saved


def change_question(*, saved: SavedQuestion, values: Mapping[str, Any], by: Any, why: str) -> list[str]:
    """Change title, sharing and schedule. Others stop following where it is no longer shared, as long as that lasts.

    Raises:
        AuditError: it was removed, or is somebody else's.
        ValidationError: the title is missing, or taken.
    """
    check(by, Verb.KEEP_QUESTIONS)
    with transaction.atomic():
        return change(_kept(saved, by), values, editable=EDITABLE, by=by, why=why)


def remove_question(*, saved: SavedQuestion, by: Any) -> SavedQuestion:
    """Remove it from all lists; what it was answered stays, and it can be put back.

    Raises:
        AuditError: it was removed, or is somebody else's.
    """
    check(by, Verb.KEEP_QUESTIONS)
    with transaction.atomic():
        row = _kept(saved, by)
        row.removed_at, row.removed_by = timezone.now(), by
        record(row, by=by, why=gettext_noop("removed"), fields=["removed_at", "removed_by"])
    return row


def put_back(*, saved: SavedQuestion, by: Any) -> SavedQuestion:
    """Put back what was removed, with its followers.

    Raises:
        AuditError: it is not removed, or somebody else's.
        ValidationError: another question has its title by now.
    """
    check(by, Verb.KEEP_QUESTIONS)
    with transaction.atomic():
        row = SavedQuestion.objects.select_for_update().filter(pk=saved.pk, owner=by.pk).first()
        if row is None or row.removed_at is None:
            raise AuditError(_("This question is not among those that you removed."))
        row.removed_at = row.removed_by = None
        row.full_clean()
        record(row, by=by, why=gettext_noop("put back"), fields=["removed_at", "removed_by"])
    return row


def _kept(saved: SavedQuestion, by: Any) -> SavedQuestion:
    """The row, locked.

    Raises:
        AuditError: it is gone, or is somebody else's.
    """
    row = visible(by).select_for_update().filter(pk=saved.pk).first()
    if row is None:
        raise AuditError(_("This question was removed meanwhile."))
    if not is_keeper(row, by):
        raise AuditError(_("Only the person who saved a question changes or removes it."))
    return row
