"""Following a saved question: on Today, and by e-mail when its answer changes."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import remove
from governance.audit.actions.errors import AuditError
from governance.audit.models import AnswerTaken, Follower, SavedQuestion
from governance.audit.queries.saved import visible


def follow(*, saved: SavedQuestion, is_on_today: bool, is_mailed: bool, by: Any) -> bool:
    """Set how a person follows a question: neither is not at all. Whether something changed.

    Raises:
        AuditError: the question was removed, or is not shared any more.
    """
    check(by, Verb.KEEP_QUESTIONS)
    with transaction.atomic():
        if not visible(by).select_for_update().filter(pk=saved.pk).exists():
            raise AuditError(_("This question was removed, or is no longer shared."))
        found = Follower.objects.select_for_update().filter(question=saved.pk, user=by.pk).first()
        return _set(found, saved, is_on_today, is_mailed, by)


def _set(found: Follower | None, saved: SavedQuestion, is_on_today: bool, is_mailed: bool, by: Any) -> bool:
    wants = {"is_on_today": is_on_today, "is_mailed": is_mailed}
    if not any(wants.values()):
        if found is not None:
            remove(found, by=by, why=gettext_noop("follows no longer"))
        return found is not None
    if found is None:
        add(
            Follower(question=saved, user=by, told_up_to=_told_by_now(saved), **wants),
            by=by,
            why=gettext_noop("follows"),
        )
        return True
    if is_mailed and not found.is_mailed:
        # what changed before the wish is no news
        Follower.objects.filter(pk=found.pk).update(told_up_to=_told_by_now(saved))
    return bool(change(found, wants, editable=tuple(wants), by=by, why=gettext_noop("follows otherwise")))


def _told_by_now(saved: SavedQuestion) -> int:
    return AnswerTaken.objects.filter(question=saved.pk).aggregate(last=Max("pk"))["last"] or 0
