"""Benefits: what a paper promises, closed for a reason, and what was given, entered, corrected, voided."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import record
from governance.duties.actions.errors import DutyError
from governance.duties.models import BenefitGiven, BenefitPromise
from governance.jurisdictions.codes import is_country
from governance.jurisdictions.currencies import is_currency
from governance.papers.models import Paper
from governance.papers.restriction import check_readable

_BOTH: Final = ("code", "what", "beneficiary", "country", "amount", "currency", "quantity", "unit", "note", "paper")
PROMISE_FIELDS: Final = (*_BOTH, "clause", "clause_number", "page", "is_deposit", "share_percent", "due_on")
GIVEN_FIELDS: Final = (*_BOTH, "promise", "on", "until_on", "evidence", "scan")


def add_promise(*, by: Any, why: str, **values: Any) -> BenefitPromise:
    """Enter what a paper promises.

    Raises:
        RestrictedPaperError: the paper is not open to the person.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    refuse_closed_papers(by, values.get("paper"))
    _refuse(values)
    with transaction.atomic():
        promise = BenefitPromise(**values)
        add(promise, by=by, why=why)
    return promise


def edit_promise(
    promise: BenefitPromise, *, by: Any, why: str, seen: int | None = None, **values: Any
) -> list[str]:  # fmt: skip
    """Correct what is promised. Returns the names of the fields that changed.

    Raises:
        DutyError: it was closed, or somebody changed it since ``seen``.
        RestrictedPaperError: the paper is not open to the person.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    _refuse(values)
    with transaction.atomic():
        current = held_promise(promise, seen)
        refuse_closed_papers(by, current.paper, values.get("paper"))
        _refuse_another_paper(current, values)
        return change(current, values, editable=PROMISE_FIELDS, by=by, why=why)


def close_promise(promise: BenefitPromise, *, by: Any, why: str) -> None:
    """Nothing more is to be given for a promise, for a reason.

    Raises:
        DutyError: it is closed already, or no reason is given.
        RestrictedPaperError: the paper is not open to the person.
    """
    check(by, Verb.KEEP_DUTIES)
    if not why.strip():
        raise DutyError(_("Say why nothing more is to be given."))
    with transaction.atomic():
        current = held_promise(promise)
        refuse_closed_papers(by, current.paper)
        current.closed_at, current.closed_by, current.closed_why = timezone.now(), by, why.strip()[:300]
        record(current, by=by, why=why, fields=["closed_at", "closed_by", "closed_why"])
    promise.refresh_from_db()


def take_up_again(promise: BenefitPromise, *, by: Any, why: str) -> None:
    """Open a promise again that was closed; the history keeps how it was.

    Raises:
        DutyError: it is open.
        RestrictedPaperError: the paper is not open to the person.
    """
    check(by, Verb.KEEP_DUTIES)
    with transaction.atomic():
        current = BenefitPromise.objects.select_for_update(of=("self",)).select_related("paper").get(pk=promise.pk)
        refuse_closed_papers(by, current.paper)
        if current.closed_at is None:
            raise DutyError(_("This promise is open already."))
        current.closed_at, current.closed_by, current.closed_why = None, None, ""
        record(current, by=by, why=why, fields=["closed_at", "closed_by", "closed_why"])
    promise.refresh_from_db()


def add_given(*, by: Any, why: str, **values: Any) -> BenefitGiven:
    """Enter what was given. What names a promise takes paper and country from it where they are blank.

    Raises:
        DutyError: the promise was closed.
        RestrictedPaperError: the paper is not open to the person.
        ValidationError: a value that the register does not hold, or that differs from the promise; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    with transaction.atomic():
        told = with_promise(values, by)
        _refuse(told)
        _refuse_days(told.get("on"), told.get("until_on"))
        row = BenefitGiven(recorded_by=by, **told)
        add(row, by=by, why=why)
    return row


def edit_given(row: BenefitGiven, *, by: Any, why: str, seen: int | None = None, **values: Any) -> list[str]:
    """Correct what was given. Returns the names of the fields that changed.

    Raises:
        DutyError: it was voided, the promise was closed, or somebody changed it since ``seen``.
        RestrictedPaperError: the paper is not open to the person.
        ValidationError: a value that the register does not hold, or that differs from the promise; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    with transaction.atomic():
        current = _held_given(row, seen)
        refuse_closed_papers(by, current.paper)
        if current.promise is not None:
            held_promise(current.promise)  # refuses if it was closed
        whole = {name: getattr(current, name) for name in (*_BOTH, "promise", "on", "until_on")} | values
        told = with_promise(whole, by) if {"promise", "paper", "code", "country"} & set(values) else whole
        _refuse(told)
        _refuse_days(told["on"], told["until_on"])
        changed = {name: told[name] for name in told if name in values or told[name] != whole[name]}
        return change(current, values | changed, editable=GIVEN_FIELDS, by=by, why=why)


def void_given(row: BenefitGiven, *, by: Any, why: str) -> None:
    """Take an entry out of count that was made by mistake; it stays to be read, with who and why.

    Raises:
        DutyError: it was voided already, or no reason is given.
        RestrictedPaperError: the paper is not open to the person.
    """
    check(by, Verb.KEEP_DUTIES)
    if not why.strip():
        raise DutyError(_("Say why it is voided."))
    with transaction.atomic():
        current = _held_given(row)
        refuse_closed_papers(by, current.paper)
        current.voided_at, current.voided_by, current.voided_why = timezone.now(), by, why.strip()[:200]
        record(current, by=by, why=why, fields=["voided_at", "voided_by", "voided_why"])
    row.refresh_from_db()


# What is refused ------------------------------------------------------------------------------------------------------


def held_promise(promise: BenefitPromise, seen: int | None = None) -> BenefitPromise:
    """The promise, locked until the transaction ends.

    Raises:
        DutyError: it was closed, or somebody changed it since ``seen``.
    """
    current = BenefitPromise.objects.select_for_update(of=("self",)).select_related("paper").get(pk=promise.pk)
    if current.closed_at is not None:
        raise DutyError(_("This promise was closed. Take it up again first."))
    refuse_unseen(current, seen)
    return current


def _held_given(row: BenefitGiven, seen: int | None = None) -> BenefitGiven:
    current = BenefitGiven.objects.select_for_update(of=("self",)).select_related("paper").get(pk=row.pk)
    if current.voided_at is not None:
        raise DutyError(_("This entry was voided and is no longer changed."))
    refuse_unseen(current, seen)
    return current


def newest_seen(row: Any) -> int | None:
    """The key of the newest entry of the history of a row, by which a form knows what its person saw."""
    newest: int | None = row.history.order_by("-history_id").values_list("history_id", flat=True).first()
    return newest


def refuse_unseen(row: Any, seen: int | None) -> None:
    """Refuse to write over what somebody else changed meanwhile.

    Raises:
        DutyError: names who.
    """
    newest = row.history.order_by("-history_id").select_related("history_user").first()
    if seen is None or newest is None or newest.history_id == seen:
        return
    who = newest.history_user.shown_name if newest.history_user else _("the register")
    raise DutyError(
        _("%(person)s changed this meanwhile. Look at it again, then make your change.") % {"person": who}
    )  # fmt: skip


def refuse_closed_papers(by: Any, *papers: Paper | None) -> None:
    """Who may not read a paper writes nothing under it.

    Raises:
        RestrictedPaperError: says who may.
    """
    for paper in papers:
        if paper is not None:
            check_readable(paper, by)


def with_promise(values: Mapping[str, Any], by: Any, *, is_deposit: bool = False) -> dict[str, Any]:
    """What was typed, with paper and country of the promise where they are blank.

    Raises:
        DutyError: the promise was closed.
        RestrictedPaperError: a paper is not open to the person.
        ValidationError: what was typed differs from the promise; by field.
    """
    told = dict(values)
    refuse_closed_papers(by, told.get("paper"))
    if told.get("promise") is None:
        return told
    promise = held_promise(told["promise"])
    refuse_closed_papers(by, promise.paper)
    told["paper"] = told.get("paper") or promise.paper
    told["country"] = told.get("country") or promise.country
    if problems := _differences(told, promise, is_deposit):
        raise ValidationError(problems)
    return told


def _differences(told: Mapping[str, Any], promise: BenefitPromise, is_deposit: bool) -> dict[str, list[str]]:
    problems: dict[str, list[str]] = {}
    if promise.is_deposit != is_deposit:
        words = (
            _("This promise is no deposit. Enter what was given for it.") if is_deposit
            else _("This promise is a deposit of material. Enter the deposit; it is counted from there.")
        )  # fmt: skip
        problems["promise"] = [words]
    if told["paper"] != promise.paper:
        named = {"paper": promise.paper.reference if promise.paper else _("no paper")}
        problems["paper"] = [_("The promise is of %(paper)s.") % named]
    if promise.country and told["country"] != promise.country:
        problems["country"] = [_("The promise is to %(country)s.") % {"country": promise.country}]
    if not is_deposit and told.get("code") and told["code"] != promise.code:
        words = _("The promise is %(promised)s, this is %(given)s. Choose its kind, or name no promise.")
        problems["code"] = [words % {"promised": promise.code, "given": told["code"]}]
    return problems


def _refuse_another_paper(current: BenefitPromise, values: Mapping[str, Any]) -> None:
    """A promise that something was entered for keeps its paper and its kind."""
    for name in ("paper", "is_deposit", "code"):
        is_kept = name not in values or values[name] == getattr(current, name)
        has_any = current.given.exists() or current.deposits.exists()
        if not is_kept and has_any:
            raise ValidationError({name: _("Something was entered for this promise: void that first.")})


def _refuse(values: Mapping[str, Any]) -> None:
    """Codes that no list has.

    Raises:
        ValidationError: by field.
    """
    problems = {}
    if (code := values.get("currency")) and not is_currency(code):
        problems["currency"] = _("“%(code)s” is no currency of ISO 4217. Write its three letters, such as EUR.") % {
            "code": code
        }
    if (code := values.get("country")) and not is_country(code):
        problems["country"] = _("“%(code)s” is no country of ISO 3166-1.") % {"code": code}
    if problems:
        raise ValidationError(problems)


def _refuse_days(first: date | None, last: date | None) -> None:
    today = timezone.localdate()
    ahead = {
        name: _("The day lies ahead. Enter what was given when it was.")
        for name, day in (("on", first), ("until_on", last)) if day is not None and day > today
    }  # fmt: skip
    if ahead:
        raise ValidationError(ahead)
