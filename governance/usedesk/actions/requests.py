"""Requests: taken down, corrected, answered, closed, and taken up again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.letters import Letter, received
from governance.usedesk.actions.locking import held
from governance.usedesk.actions.recipients import add_recipient
from governance.usedesk.models import RequestDecision, UseRequest

FACTS = ("uses", "recipient", "country", "commercial", "identification_only", "parts", "asked_on")
"""What the answer rests on: decisions that were made on it are withdrawn before it changes."""

EDITABLE = (
    *FACTS, "reference", "title", "asked_by", "answer_by", "purpose", "starts_on", "ends_on", "remarks", "scan",
)  # fmt: skip


def add_request(
    *, values: Mapping[str, Any], new_recipient: Mapping[str, Any] | None = None, letter: Letter | None = None, by: Any,
    why: str = "",
) -> UseRequest:  # fmt: skip
    """Take down a request; new_recipient: one that is begun with it, in place of ``values["recipient"]``.

    Raises:
        ValidationError: a value does not hold, or the letter was refused.
    """
    check(by, Verb.TAKE_REQUESTS)
    why = why or gettext_noop("taken down")
    told = dict(values)
    _check_asked_on(told.get("asked_on"))
    if scan := received(letter, field="letter", by=by, why=why):
        told["scan"] = scan
    with transaction.atomic():
        if new_recipient is not None:
            told["recipient"] = _begun(new_recipient, by, why)
        made = UseRequest(**{name: told[name] for name in EDITABLE if name in told})
        add(made, by=by, why=why)
    return made


def edit_request(
    *, request: UseRequest, values: Mapping[str, Any], new_recipient: Mapping[str, Any] | None = None,
    letter: Letter | None = None, by: Any, why: str,
) -> list[str]:  # fmt: skip
    """Correct a request; returns the fields that changed.

    Raises:
        DeskError: it is closed; or decisions stand that were made on facts which were to change.
        ValidationError: a value does not hold, or the letter was refused.
    """
    check(by, Verb.TAKE_REQUESTS)
    told = dict(values)
    _check_asked_on(told.get("asked_on"))
    if scan := received(letter, field="letter", by=by, why=why):
        told["scan"] = scan
    with transaction.atomic():
        current = held(request, even_answered=True)
        if new_recipient is not None or _changes_facts(current, told):
            _refuse_where_decided(current)
        if new_recipient is not None:
            told["recipient"] = _begun(new_recipient, by, why)
        return change(current, told, editable=EDITABLE, by=by, why=why)


_BOXES = {"__all__": "recipient_name"}
"""Where the form of a request says what a new recipient may not be."""


def _begun(values: Mapping[str, Any], by: Any, why: str) -> Any:
    """A recipient that is begun in the form of a request; its errors stand beside the boxes of that form."""
    try:
        return add_recipient(values=values, by=by, why=why)
    except ValidationError as error:
        told = error.error_dict
        raise ValidationError({_BOXES.get(name, f"recipient_{name}"): told[name] for name in told}) from None


def _check_asked_on(day: Any) -> None:
    if day is not None and day > timezone.localdate():
        raise ValidationError({
            "asked_on": _("%(day)s is still to come. Give the day on which the request came.") % {"day": day}
        })  # fmt: skip


def _changes_facts(current: UseRequest, told: Mapping[str, Any]) -> bool:
    return any(told.get(name, getattr(current, name)) != getattr(current, name) for name in FACTS)


def _refuse_where_decided(request: UseRequest) -> None:
    count = standing_decisions(request).count()
    if count:
        words = ngettext(
            "%(n)d decision stands on what was asked. Withdraw it first, then change uses, recipient, place, parts or "
            "the day, and decide anew. Title, purpose, days and remarks can be changed at any time.",
            "%(n)d decisions stand on what was asked. Withdraw them first, then change uses, recipient, place, parts "
            "or the day, and decide anew. Title, purpose, days and remarks can be changed at any time.",
            count,
        )
        raise DeskError(words % {"n": count})


def standing_decisions(request: UseRequest) -> Any:
    """Decisions of a request that were not withdrawn."""
    return RequestDecision.objects.filter(request=request, withdrawn_at__isnull=True)


def answer_request(*, request: UseRequest, by: Any, why: str = "") -> UseRequest:
    """Mark a request as answered: everything in it is decided, and the asker was told.

    Raises:
        DeskError: it has no specimens, some are not decided, or it is answered or closed.
    """
    check(by, Verb.TAKE_REQUESTS)
    with transaction.atomic():
        current = held(request)
        total = current.items.count()
        undecided = current.items.filter(decision__isnull=True).count()
        if not total:
            raise DeskError(_("No specimen is in the request yet, so there is nothing to answer."))
        if undecided:
            words = ngettext(
                "%(n)d specimen is not decided yet. Decide it, or take it out, then mark it as answered.",
                "%(n)d specimens are not decided yet. Decide them, or take them out, then mark it as answered.",
                undecided,
            )
            raise DeskError(words % {"n": undecided})
        current.answered_at, current.answered_by = timezone.now(), by
        record(current, by=by, why=why or gettext_noop("answered"), fields=["answered_at", "answered_by"])
    return current


def take_answer_back(*, request: UseRequest, by: Any, why: str) -> UseRequest:
    """An answered request is worked on again.

    Raises:
        DeskError: it is not answered, or closed; or no reason is given.
    """
    check(by, Verb.TAKE_REQUESTS)
    _needs_reason(why)
    with transaction.atomic():
        current = held(request, even_answered=True)
        if current.answered_at is None:
            raise DeskError(_("This request is not answered."))
        current.answered_at = current.answered_by = None
        record(current, by=by, why=why, fields=["answered_at", "answered_by"])
    return current


def close_request(*, request: UseRequest, by: Any, why: str) -> UseRequest:
    """Close a request: it was withdrawn, or is over. It stays on record, with all that was decided.

    Raises:
        DeskError: it is closed already, or no reason is given.
    """
    check(by, Verb.TAKE_REQUESTS)
    _needs_reason(why)
    with transaction.atomic():
        current = held(request, even_answered=True)
        current.closed_at, current.closed_by, current.closed_why = timezone.now(), by, why.strip()
        current.full_clean(exclude=["scan", "recipient"])
        record(current, by=by, why=why, fields=["closed_at", "closed_by", "closed_why"])
    return current


def reopen_request(*, request: UseRequest, by: Any, why: str) -> UseRequest:
    """Take a closed request up again.

    Raises:
        DeskError: it is not closed, or no reason is given.
    """
    check(by, Verb.TAKE_REQUESTS)
    _needs_reason(why)
    with transaction.atomic():
        current = held(request, even_closed=True)
        if current.closed_at is None:
            raise DeskError(_("This request is open."))
        current.closed_at, current.closed_by, current.closed_why = None, None, ""
        record(current, by=by, why=why, fields=["closed_at", "closed_by", "closed_why"])
    return current


def _needs_reason(why: str) -> None:
    if not why.strip():
        raise DeskError(_("Say why."))
