"""Loans that come back, whole or in part, and loans that last longer."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.bulk import update
from accessions.people.editing import add
from accessions.people.history import record, remove
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import day_words, held
from governance.usedesk.deeds import LOANS
from governance.usedesk.models import LoanReturn, MadeUse, UseItem
from governance.usedesk.queries.chosen import told
from governance.usedesk.queries.whereabouts import still_out


def take_back(loan: MadeUse, ids: Sequence[int], *, on: date, note: str = "", by: Any, why: str) -> LoanReturn:
    """Record that specimens of a loan came back on a day; the others stay out.

    Raises:
        DeskError: it is no loan, the day cannot be, or a specimen is not out on it; all of these at once.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        current = _held_loan(loan)
        out = dict(still_out(current.deed).filter(use=current).values_list("specimen", "pk"))
        problems = _problems(current, on, ids, out)
        if problems:
            raise DeskError(" ".join(problems))
        back = LoanReturn(use=current, on=on, note=note.strip(), recorded_by=by)
        add(back, by=by, why=why)
        keys = [out[key] for key in ids]
        update(UseItem, ("returned_id",), [(back.pk,)] * len(keys), keys, by=by, why=why)
    return back


def _held_loan(loan: MadeUse) -> MadeUse:
    current = held(loan)
    if current.deed not in LOANS:
        raise DeskError(_("That entry is no loan."))
    return current


def _problems(loan: MadeUse, on: date, ids: Sequence[int], out: dict[int, int]) -> list[str]:
    problems = []
    if not ids:
        problems.append(_("Name at least one specimen that came back."))
    if on < loan.on:
        problems.append(_("It left on %(day)s and cannot come back before.") % {"day": day_words(loan.on)})
    if on > timezone.localdate():
        problems.append(_("The day lies ahead. Record a return when it came."))
    others = [key for key in ids if key not in out]
    if others:
        problems.append(_("Not out on this loan, or back already: %(list)s.") % {"list": told(others)})
    return problems


def undo_return(back: LoanReturn, *, by: Any, why: str) -> None:
    """Take away a return that was recorded by mistake: its specimens are out again; the history keeps it.

    Raises:
        DeskError: a specimen of it was lent again since.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        loan = _held_loan(back.use)
        pairs = dict(UseItem.objects.filter(returned=back).values_list("specimen", "pk"))
        again = still_out().filter(specimen__in=UseItem.objects.filter(returned=back).values("specimen"))
        if loan.deed == MadeUse.Deed.LOAN and (others := list(again.values_list("specimen", flat=True)[:50])):
            raise DeskError(_("Lent again since: %(list)s. So it did come back.") % {"list": told(others)})
        update(UseItem, ("returned_id",), [(None,)] * len(pairs), list(pairs.values()), by=by, why=why)
        remove(back, by=by, why=why)


def extend(loan: MadeUse, *, due_on: date, by: Any, why: str, seen: int | None = None) -> None:
    """Move the day on which a loan is due, for a reason.

    Raises:
        DeskError: it is no loan, nothing of it is out, somebody changed it since ``seen``, or the day cannot be.
    """
    check(by, Verb.RECORD_USES)
    if not why.strip():
        raise DeskError(_("Say why the day is moved."))
    with transaction.atomic():
        current = held(loan, seen)
        if current.deed not in LOANS or not still_out(current.deed).filter(use=current).exists():
            raise DeskError(_("Nothing of this entry is out, so nothing of it is due."))
        if due_on < current.on:
            raise DeskError(_("It left on %(day)s and cannot be due before.") % {"day": day_words(current.on)})
        current.due_on = due_on
        record(current, by=by, why=why, fields=["due_on"])
    loan.refresh_from_db()
