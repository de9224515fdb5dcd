"""What is done about a use that is not within the terms as known: opened, corrected, ended."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import day_words, held
from governance.usedesk.models import MadeUse, Remedy

FIELDS: Final = ("what", "paper", "due_on")


def add_remedy(made: MadeUse, *, by: Any, why: str, **values: Any) -> Remedy:
    """Open a remedy of an entry.

    Raises:
        DeskError: the entry was voided.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        remedy = Remedy(use=held(made), opened_by=by, **values)
        add(remedy, by=by, why=why)
    return remedy


def edit_remedy(remedy: Remedy, *, by: Any, why: str, **values: Any) -> list[str]:
    """Correct what is to be done, by when, or under which paper. Returns the names of the fields that changed.

    Raises:
        DeskError: it has ended.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        current = _held(remedy)
        if current.done_on is not None:
            raise DeskError(_("This remedy has ended. Take it up again first."))
        return change(current, values, editable=FIELDS, by=by, why=why)


def end_remedy(remedy: Remedy, *, done_on: date, done_how: str, by: Any) -> None:
    """Record how a remedy ended.

    Raises:
        DeskError: it has ended already, the day lies ahead, or before the use.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        current = _held(remedy)
        if current.done_on is not None:
            raise DeskError(_("This remedy has ended already, on %(day)s.") % {"day": day_words(current.done_on)})
        if done_on > timezone.localdate():
            raise DeskError(_("The day lies ahead. Record the end when it came."))
        if done_on < current.use.on:
            raise DeskError(_("The use was made on %(day)s, after that.") % {"day": day_words(current.use.on)})
        if not done_how.strip():
            raise DeskError(_("Say how it ended."))
        current.done_on, current.done_how, current.done_by = done_on, done_how.strip(), by
        record(current, by=by, why=gettext_noop("ended"), fields=["done_on", "done_how", "done_by"])


def take_up_again(remedy: Remedy, *, by: Any, why: str) -> None:
    """Open a remedy again that was ended; the history keeps how it had ended."""
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        current = _held(remedy)
        current.done_on, current.done_how, current.done_by = None, "", None
        record(current, by=by, why=why, fields=["done_on", "done_how", "done_by"])


def _held(remedy: Remedy) -> Remedy:
    return Remedy.objects.select_for_update(of=("self",)).select_related("use").get(pk=remedy.pk)
