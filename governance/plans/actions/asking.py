"""The steps of an application on its way to an answer, and each step undone."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.plans.actions.applications import held
from governance.plans.actions.attaching import take_off
from governance.plans.actions.locking import PlanError
from governance.plans.models import Application, PlanPaper

State = Application.State


def ask(
    *, application: Application, on: date, number: str = "", assignee: Any = None, by: Any, why: str = ""
) -> Application:
    """It was asked for on a day. number: under which the authority keeps it. assignee: who asked; None: as it is.

    Raises:
        PlanError: it was asked for already, or has its answer.
        ValidationError: the day is still to come.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = in_state(application, State.TO_ASK)
        not_to_come("asked_on", on)
        current.asked_on = on
        current.number = number.strip() or current.number
        current.assignee = assignee or current.assignee or by
        return _kept(current, ["asked_on", "number", "assignee"], by=by, why=why or gettext_noop("asked"))


def promise(*, application: Application, on: date, by: Any, why: str = "") -> Application:
    """An answer was promised for a day, or for another day than before.

    Raises:
        PlanError: it was not asked for yet, or has its answer.
        ValidationError: the day is before that of asking.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = in_state(application, State.ASKED, State.PROMISED)
        not_before_asking(current, "promised_on", on)
        current.promised_on = on
        return _kept(current, ["promised_on"], by=by, why=why or gettext_noop("answer promised"))


def refuse(*, application: Application, on: date, note: str, by: Any, why: str = "") -> Application:
    """It was refused. note: what they said; it is added to the note of the application.

    Raises:
        PlanError: it was not asked for yet, or has its answer.
        ValidationError: the day is still to come or before that of asking, or nothing is said of the refusal.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = in_state(application, State.ASKED, State.PROMISED)
        not_to_come("refused_on", on)
        not_before_asking(current, "refused_on", on)
        if not note.strip():
            raise ValidationError({"note": _("Write what they said, or that they gave no reason.")})
        current.refused_on = on
        current.note = "\n".join(filter(None, (current.note, note.strip())))
        return _kept(current, ["refused_on", "note"], by=by, why=why or gettext_noop("refused"))


def give_up(*, application: Application, on: date, by: Any, why: str) -> Application:
    """It is no longer pursued.

    Raises:
        PlanError: no reason was given, or it has its answer already.
        ValidationError: the day is still to come, or before that of asking.
    """
    check(by, Verb.PLAN_TRIPS)
    if not why.strip():
        raise PlanError(_("Say why it is given up."))
    with transaction.atomic():
        current = in_state(application, State.TO_ASK, State.ASKED, State.PROMISED)
        not_to_come("dropped_on", on)
        not_before_asking(current, "dropped_on", on)
        current.dropped_on = on
        return _kept(current, ["dropped_on"], by=by, why=why)


_LAST_DAY = {
    State.ASKED: "asked_on", State.PROMISED: "promised_on", State.GRANTED: "granted_on", State.REFUSED: "refused_on",
    State.DROPPED: "dropped_on",
}  # fmt: skip


def undo_step(*, application: Application, by: Any, why: str, state: str = "") -> Application:
    """Take the last step back. What was granted stays on file, but speaks no more where the grant had linked it.

    state: in which the person saw it; "": it does not matter.

    Raises:
        PlanError: there is no step yet, somebody took another meanwhile, or no reason was given.
    """
    check(by, Verb.PLAN_TRIPS)
    if not why.strip():
        raise PlanError(_("Say why the step is taken back."))
    with transaction.atomic():
        current = held(application)
        if state and current.state != state:
            raise PlanError(_already(current))
        column = _LAST_DAY.get(current.state)
        if column is None:
            raise PlanError(_("Nothing was done yet that could be taken back."))
        if current.state == State.GRANTED:
            for attached in attached_by_grant(current):
                take_off(plan_paper=attached, by=by, why=why)
            current.paper = None
        setattr(current, column, None)
        return _kept(current, [column, "paper"], by=by, why=why)


def grant_mark(application: Application) -> str:
    """How the reason of a link that a grant made begins: by it the grant is undone. Never translated."""
    return f"application {application.pk}: "


def attached_by_grant(application: Application) -> list[PlanPaper]:
    """The links that stand because it was granted."""
    rows = PlanPaper.objects.filter(
        plan=application.plan_id, paper=application.paper_id, unlinked_at__isnull=True,
        why__startswith=grant_mark(application),
    )  # fmt: skip
    return list(rows)


def in_state(application: Application, *states: Application.State) -> Application:
    """The application, held, if it is in one of these states.

    Raises:
        PlanError: says what became of it meanwhile.
    """
    current = held(application)
    if current.state not in states:
        raise PlanError(_already(current))
    return current


def _already(application: Application) -> str:
    days = {"day": shown(getattr(application, _LAST_DAY.get(application.state, "asked_on")))}
    return {
        State.TO_ASK: _("It was not asked for yet: record first on which day it was."),
        State.ASKED: _("It was asked for already, on %(day)s."),
        State.PROMISED: _("It was asked for already, and an answer is promised for %(day)s."),
        State.GRANTED: _("It was granted on %(day)s. Take that step back first."),
        State.REFUSED: _("It was refused on %(day)s. Take that step back first, or ask anew."),
        State.DROPPED: _("It was given up on %(day)s. Take that step back first, or ask anew."),
    }[application.state] % days


def not_to_come(field: str, day: date) -> None:
    """Refuse a day after today.

    Raises:
        ValidationError: at the field.
    """
    today = timezone.localdate()
    if day > today:
        words = _("%(day)s is still to come. Write a day up to today, %(today)s.")
        raise ValidationError({field: words % {"day": shown(day), "today": shown(today)}})


def not_before_asking(application: Application, field: str, day: date) -> None:
    """Refuse a day before that of asking.

    Raises:
        ValidationError: at the field.
    """
    asked = application.asked_on
    if asked is not None and day < asked:
        words = _("%(day)s is before it was asked for, on %(asked)s. Check the two days.")
        raise ValidationError({field: words % {"day": shown(day), "asked": shown(asked)}})


def shown(day: date | None) -> str:
    """A day in a sentence."""
    return str(date_format(day, "j F Y")) if day else ""


def _kept(application: Application, fields: list[str], *, by: Any, why: str) -> Application:
    application.full_clean()
    record(application, by=by, why=why, fields=fields)
    return application
