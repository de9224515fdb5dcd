"""Deposits in the country: from an entry of uses, or by hand; corrected, receipt added, voided."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record
from governance.duties.actions.benefits import refuse_closed_papers, refuse_unseen, with_promise
from governance.duties.actions.errors import DutyError
from governance.duties.models import Deposit
from governance.duties.queries.deposits import DEEDS
from governance.jurisdictions.codes import is_country
from governance.papers.countries import country_name
from governance.usedesk.models import MadeUse

FIELDS: Final = (
    "promise", "paper", "accession", "country", "depository", "on", "use", "specimens", "what", "receipt", "receipt_on",
    "scan", "note",
)  # fmt: skip


def add_deposit(*, by: Any, why: str, **values: Any) -> Deposit:
    """Enter a deposit. Of an entry of uses whose deposit was voided, that one is taken up again.

    Raises:
        DutyError: the promise was closed.
        RestrictedPaperError: the paper is not open to the person.
        ValidationError: a value that the register does not hold, or that differs from the promise; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    with transaction.atomic():
        told = with_promise(values, by, is_deposit=True)
        _refuse(told)
        if (voided := _voided_of(told.get("use"))) is not None:
            return _taken_up(voided, told, by=by, why=why)
        deposit = Deposit(recorded_by=by, **told)
        add(deposit, by=by, why=why)
    return deposit


def edit_deposit(deposit: Deposit, *, by: Any, why: str, seen: int | None = None, **values: Any) -> list[str]:
    """Correct a deposit, or add its receipt. Returns the names of the fields that changed.

    Raises:
        DutyError: it was voided, or somebody changed it since ``seen``.
        RestrictedPaperError: the paper is not open to the person.
        ValidationError: a value that the register does not hold, or that differs from the promise; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    with transaction.atomic():
        current = _held(deposit, seen)
        refuse_closed_papers(by, current.paper)
        whole = {name: getattr(current, name) for name in FIELDS} | values
        told = with_promise(whole, by, is_deposit=True) if {"promise", "paper", "country"} & set(values) else whole
        _refuse(told)
        return change(current, told, editable=FIELDS, by=by, why=why)


def void_deposit(deposit: Deposit, *, by: Any, why: str) -> None:
    """Take a deposit out of count that was entered by mistake; it stays to be read, with who and why.

    Raises:
        DutyError: it was voided already, or no reason is given.
        RestrictedPaperError: the paper is not open to the person.
    """
    check(by, Verb.KEEP_DUTIES)
    if not why.strip():
        raise DutyError(_("Say why it is voided."))
    with transaction.atomic():
        current = _held(deposit)
        refuse_closed_papers(by, current.paper)
        current.voided_at, current.voided_by, current.voided_why = timezone.now(), by, why.strip()[:200]
        record(current, by=by, why=why, fields=["voided_at", "voided_by", "voided_why"])
    deposit.refresh_from_db()


def _held(deposit: Deposit, seen: int | None = None) -> Deposit:
    rows = Deposit.objects.select_for_update(of=("self",)).select_related("paper", "promise", "accession", "use")
    current = rows.get(pk=deposit.pk)
    if current.voided_at is not None:
        raise DutyError(_("This deposit was voided and is no longer changed."))
    refuse_unseen(current, seen)
    return current


def _voided_of(use: MadeUse | None) -> Deposit | None:
    if use is None:
        return None
    return Deposit.objects.select_for_update().filter(use=use, voided_at__isnull=False).first()


def _taken_up(deposit: Deposit, told: Mapping[str, Any], *, by: Any, why: str) -> Deposit:
    refuse_closed_papers(by, deposit.paper)
    values = {name: told[name] for name in FIELDS if name in told}
    for name, value in (values | {"voided_at": None, "voided_by": None, "voided_why": ""}).items():
        setattr(deposit, name, value)
    deposit.full_clean()
    record(deposit, by=by, why=why)
    return deposit


def _refuse(told: Mapping[str, Any]) -> None:
    """What cannot be, by field; all at once.

    Raises:
        ValidationError: by field.
    """
    problems: dict[str, str] = {}
    country, on, today = told.get("country", ""), told.get("on"), timezone.localdate()
    if country and not is_country(country):
        problems["country"] = _("“%(code)s” is no country of ISO 3166-1.") % {"code": country}
    if on is not None and on > today:
        problems["on"] = _("The day lies ahead. Enter a deposit when it was made.")
    if told.get("receipt_on") is not None and told["receipt_on"] > today:
        problems["receipt_on"] = _("The day lies ahead.")
    if (use := told.get("use")) is not None:
        problems |= _of_use(use, country, on)
    if problems:
        raise ValidationError(problems)


def _of_use(use: MadeUse, country: str, on: Any) -> dict[str, str]:
    problems = {}
    if use.voided_at is not None:
        problems["use"] = _("This entry was voided.")
    elif use.deed not in DEEDS:
        problems["use"] = _("“%(deed)s” is no deposit. Choose a return, a gift or an exchange.") % {
            "deed": use.get_deed_display()
        }
    there = use.recipient.country if use.recipient else ""
    if there and country and there != country:
        problems["country"] = _("The recipient of %(use)s is in %(country)s.") % {
            "use": use, "country": country_name(there)
        }  # fmt: skip
    if on is not None and on < use.on:
        problems["on"] = _("The material left on %(day)s, after that.") % {"day": date_format(use.on, "j F Y")}
    return problems
