"""Uses that were made: recorded with the answer of their day, corrected, voided.

What happened is recorded, also outside the terms; then it is marked, and a remedy begins.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext, override

from accessions.material.models import Specimen
from accessions.people.access import Verb, check
from accessions.people.bulk import insert, reserve_keys, update
from accessions.people.editing import add, change
from accessions.people.history import record
from governance.engine.uses import Answer, Use
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.extracts import extracts
from governance.usedesk.deeds import (
    FROM_A_LOAN,
    LEAVES,
    LOANS,
    NEEDS_A_LOAN,
    TAKES_WHAT_IS_THERE,
    Deed,
)
from governance.usedesk.models import DeskRules, MadeUse, Remedy, UseItem, UseRequest
from governance.usedesk.queries.chosen import MOST, told
from governance.usedesk.queries.judging import Judged, Told, judged
from governance.usedesk.queries.whereabouts import gone_of, out_of, slices, still_out

FIELDS: Final = (
    "reference", "title", "recipient", "on", "until_on", "citation", "doi", "acknowledged", "commercial",
    "identification_only", "parts", "note", "scan",
)  # fmt: skip
"""What ``edit_use`` may change; the day on which a loan is due is moved by ``returning.extend``."""

_FACTS: Final = ("recipient", "commercial", "identification_only", "parts")
_ANSWERED_BY: Final = frozenset({"on", "use", *_FACTS})
REMEDY_DAYS: Final = 30


@dataclass(frozen=True)
class Taken:
    """Of one specimen: what was taken, what is left, and the number of the extract that was made."""

    amount: str = ""
    left: str = ""
    is_used_up: bool = False
    extract: str = ""


def record_use(
    *, deed: str, on: date, ids: Sequence[int], by: Any, why: str, use: Use | None = None,
    request: UseRequest | None = None, parent: MadeUse | None = None, taken: Mapping[int, Taken] | None = None,
    remedy: str = "", **values: Any,
) -> MadeUse:  # fmt: skip
    """Record a use of some specimens, with the answer of the desk by the terms of its day.

    Args:
        use: which kind of use it was, where the deed leaves it open.
        ids: keys of specimens, each once.
        taken: by specimen, of a deed that leaves less of it.
        remedy: what is to be done if it is outside the terms; "": the usual words.
        values: the fields of ``FIELDS``, and ``due_on`` of a loan.

    Raises:
        DeskError: it cannot have been so: the day lies ahead, a specimen is out or gone, all of them named.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        _lock(ids, request, parent)
        _refuse(deed, on, ids, parent)
        facts = {name: values[name] for name in _FACTS if name in values}
        answers = judged(ids, Told(deed, on, use, request=request, **facts))
        made = MadeUse(
            deed=deed, on=on, use=answers.use, request=request, parent=parent, recorded_by=by,
            answer=answers.strictest, is_outside=answers.is_outside, **_with_due(deed, on, values),
        )  # fmt: skip
        add(made, by=by, why=why)
        _add_items(made, answers, taken or {}, by=by, why=why)
        if made.is_outside:
            open_remedy(made, remedy, by=by)
    return made


def _lock(ids: Sequence[int], request: UseRequest | None, parent: MadeUse | None) -> None:
    """Two people cannot lend the same specimen, nor is a decision withdrawn meanwhile. Keys in order: no deadlock."""
    if request is not None:
        UseRequest.objects.select_for_update().get(pk=request.pk)
        request.refresh_from_db()  # as it is now, not as it was when the page was shown
    if parent is not None:
        MadeUse.objects.select_for_update().get(pk=parent.pk)
    for some in slices(sorted(ids)):
        locked = Specimen.objects.select_for_update().filter(pk__in=some).order_by("pk")
        if len(locked.values_list("pk", flat=True)) < len(some):
            raise DeskError(_("A specimen of the list is no longer in the register. Choose again."))


def _refuse(deed: str, on: date, ids: Sequence[int], parent: MadeUse | None) -> None:
    """All that cannot have been so, at once."""
    problems = [*_of_the_entry(deed, on, ids, parent)]
    if ids:
        problems += _of_the_specimens(deed, on, ids, parent)
    if problems:
        raise DeskError(" ".join(problems))


def _of_the_entry(deed: str, on: date, ids: Sequence[int], parent: MadeUse | None) -> Iterator[str]:
    if not ids:
        yield _("Name at least one specimen.")
    if len(ids) > MOST:
        yield _("%(n)d specimens are more than one entry holds (%(most)d). Make several.") % {
            "n": len(ids),
            "most": MOST,
        }
    if on > timezone.localdate():
        yield _("The day lies ahead. Record a use when it was made.")
    if deed in NEEDS_A_LOAN and parent is None:
        yield _("Say from which loan.")
    if parent is not None:
        yield from _of_the_loan(deed, on, parent)


def _of_the_loan(deed: str, on: date, parent: MadeUse) -> Iterator[str]:
    if parent.deed not in LOANS or deed not in FROM_A_LOAN:
        yield _("That entry is no loan from which this could come.")
    if parent.voided_at is not None:
        yield _("Loan %(loan)s was voided.") % {"loan": parent}
    if on < parent.on:
        yield _("The loan left on %(day)s; this was before.") % {"day": day_words(parent.on)}


def _of_the_specimens(deed: str, on: date, ids: Sequence[int], parent: MadeUse | None) -> Iterator[str]:
    if parent is not None:
        yield from _not_out(ids, parent)
        yield from _lent_on(deed, ids)
    elif deed in LEAVES:
        yield from _out(out_of(ids))
    if deed in TAKES_WHAT_IS_THERE:
        yield from _gone(on, gone_of(ids))


def _not_out(ids: Sequence[int], parent: MadeUse) -> Iterator[str]:
    out = still_out(parent.deed).filter(use=parent).values_list("specimen", flat=True)
    others = sorted(set(ids) - set(out))
    if others:
        words = _("Not out on loan %(loan)s, or back already: %(list)s.")
        yield words % {"loan": parent, "list": told(others)}


def _lent_on(deed: str, ids: Sequence[int]) -> Iterator[str]:
    """It can be lent on once, until it comes back to the first borrower."""
    if deed != Deed.ONWARD_LOAN:
        return
    onward = still_out(Deed.ONWARD_LOAN)
    found = {key for some in slices(ids) for key in onward.filter(specimen__in=some).values_list("specimen", flat=True)}
    if found:
        yield _("Already lent on, and not back from there: %(list)s.") % {"list": told(sorted(found))}


def _out(found: Mapping[int, UseItem]) -> Iterator[str]:
    by_loan: dict[str, list[int]] = {}
    for key, item in found.items():
        by_loan.setdefault(_loan_words(item.use), []).append(key)
    for loan, keys in by_loan.items():
        words = ngettext("%(list)s is out on %(loan)s. Record its return first, or leave it out.",
                         "%(list)s are out on %(loan)s. Record their return first, or leave them out.",
                         len(keys))  # fmt: skip
        yield words % {"list": told(keys), "loan": loan}


def _loan_words(loan: MadeUse) -> str:
    """A loan in a sentence: its number, to whom, since when."""
    names = {"loan": loan, "to": loan.recipient, "day": day_words(loan.on)}
    if loan.recipient is None:
        return _("loan %(loan)s since %(day)s") % names
    return _("loan %(loan)s to %(to)s since %(day)s") % names


def _gone(on: date, found: Mapping[int, UseItem]) -> Iterator[str]:
    by_use: dict[int, list[int]] = {}
    for key, item in found.items():
        if item.use.on <= on:
            by_use.setdefault(item.use_id, []).append(key)
    uses = {item.use_id: item.use for item in found.values()}
    for pk, keys in by_use.items():
        words = ngettext("%(list)s is no longer here: %(deed)s on %(day)s (%(use)s).",
                         "%(list)s are no longer here: %(deed)s on %(day)s (%(use)s).", len(keys))  # fmt: skip
        use = uses[pk]
        names = {"list": told(keys), "deed": use.get_deed_display(), "day": day_words(use.on), "use": use}
        yield words % names


def _with_due(deed: str, on: date, values: Mapping[str, Any]) -> dict[str, Any]:
    """The values; a loan without a day has the usual one."""
    filled = dict(values)
    if deed in LOANS and filled.get("due_on") is None:
        filled["due_on"] = due_after(on)
    return filled


def day_words(day: date) -> str:
    """A day in a sentence: "17 June 2024"."""
    return date_format(day, "j F Y")


def due_after(on: date) -> date:
    """When a loan that leaves on a day is due by the rules of the desk."""
    return months_after(on, loan_months())


def loan_months() -> int:
    """How long a loan lasts by the rules of the desk."""
    return DeskRules.objects.values_list("loan_months", flat=True).first() or 12


def months_after(on: date, months: int) -> date:
    """The same day of a later month, or the last of that month where it has no such day.

    >>> months_after(date(2026, 8, 31), 6), months_after(date(2024, 2, 29), 12)
    (datetime.date(2027, 2, 28), datetime.date(2025, 2, 28))
    """
    number = on.year * 12 + on.month - 1 + months
    following = date((number + 1) // 12, (number + 1) % 12 + 1, 1)
    return min(following - timedelta(1), date(number // 12, number % 12 + 1, 1) + timedelta(on.day - 1))


_COLUMNS: Final = (
    "use_id", "specimen_id", "decision_id", "amount", "left", "is_used_up", "product_id", "answer", "reasons",
    "is_outside",
)  # fmt: skip


def _add_items(made: MadeUse, answers: Judged, taken: Mapping[int, Taken], *, by: Any, why: str) -> None:
    rows, nothing = [], Taken()
    products = extracts({key: one.extract for key, one in taken.items()}, by=by, why=why)
    for key, one in answers.items.items():
        of = taken.get(key, nothing)
        rows.append((
            made.pk, key, one.decision, of.amount, of.left, of.is_used_up, products.get(key), _number(one.answer),
            one.reasons, one.is_outside,
        ))  # fmt: skip
    insert(UseItem, _COLUMNS, rows, reserve_keys(UseItem, len(rows)), by=by, why=why)


def _number(answer: Answer | None) -> int | None:
    """As the drivers of both databases take it."""
    return None if answer is None else int(answer)


def open_remedy(made: MadeUse, what: str = "", *, by: Any) -> Remedy:
    """What is to be done about a use that is not within the terms as known; its text and day are for people to edit."""
    with override(settings.LANGUAGE_CODE):  # it is kept
        day = day_words(made.on)
    words = what.strip() or gettext_noop(
        "Not within the terms as known on %(day)s. Tell the provider what was done, ask for agreement, and file the "
        "reply; or show by which paper it was allowed."
    ) % {"day": day}  # fmt: skip
    remedy = Remedy(use=made, what=words, due_on=timezone.localdate() + timedelta(REMEDY_DAYS), opened_by=by)
    add(remedy, by=by, why=gettext_noop("not within the terms as known"))
    return remedy


def edit_use(made: MadeUse, *, by: Any, why: str, seen: int | None = None, use: Use | None = None,
             **values: Any) -> list[str]:  # fmt: skip
    """Correct what was written of a use. Where the day, the recipient or the kind of use changes, it is answered anew.

    Args:
        seen: key of the newest entry of its history that the person had before them; None: it does not matter.

    Raises:
        DeskError: it was voided, or somebody else changed it since ``seen``, or it cannot have been so.
        ValidationError: a value that the register does not hold; by field.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        current = held(made, seen)
        was_outside = current.is_outside
        if "on" in values:
            _refuse_day(current, values["on"])
        if use is not None and use != current.use:
            values["use"] = use
        changed = change(current, values, editable=(*FIELDS, "use"), by=by, why=why)
        if _ANSWERED_BY & set(changed):
            _answer_anew(current, by=by, why=why)
            if current.is_outside and not was_outside:
                open_remedy(current, by=by)
    made.refresh_from_db()
    return changed


def held(made: MadeUse, seen: int | None = None) -> MadeUse:
    """The entry, locked until the transaction ends.

    Raises:
        DeskError: it was voided, or somebody changed it since ``seen``.
    """
    current = MadeUse.objects.select_for_update().get(pk=made.pk)
    if current.voided_at is not None:
        raise DeskError(_("This entry was voided and is no longer changed."))
    newest = current.history.order_by("-history_id").select_related("history_user").first()
    if seen is not None and newest is not None and newest.history_id != seen:
        who = newest.history_user.shown_name if newest.history_user else _("the register")
        raise DeskError(
            _("%(person)s changed this entry meanwhile. Look at it again, then make your change.") % {"person": who}
        )
    return current


def newest_seen(made: MadeUse) -> int | None:
    """The key of the newest entry of its history, for ``edit_use``."""
    newest: int | None = made.history.order_by("-history_id").values_list("history_id", flat=True).first()
    return newest


def _refuse_day(made: MadeUse, on: date) -> None:
    if on > timezone.localdate():
        raise DeskError(_("The day lies ahead. Record a use when it was made."))
    first = made.returns.order_by("on").first()
    if first is not None and on > first.on:
        raise DeskError(_("Something came back on %(day)s already; it left before.") % {"day": day_words(first.on)})
    if made.parent is not None and on < made.parent.on:
        raise DeskError(_("The loan left on %(day)s; this was before.") % {"day": day_words(made.parent.on)})
    later = made.followed_by.filter(voided_at__isnull=True, on__lt=on).first()
    if later is not None:
        raise DeskError(_("%(deed)s on %(day)s came from it; it left before.")
                        % {"deed": later.get_deed_display(), "day": day_words(later.on)})  # fmt: skip


def _answer_anew(made: MadeUse, *, by: Any, why: str) -> None:
    pairs = dict(made.items.order_by("pk").values_list("specimen", "pk"))
    decided = dict(made.items.filter(decision__isnull=False).values_list("specimen", "decision"))
    use = None if made.use is None else Use(made.use)
    facts = {name: getattr(made, name) for name in _FACTS}
    told_of = Told(made.deed, made.on, use, request=made.request, **facts)
    answers = judged(list(pairs), told_of, decided=decided)
    rows = [(_number(one.answer), one.reasons, one.decision, one.is_outside) for one in answers.items.values()]
    columns, keys = ("answer", "reasons", "decision_id", "is_outside"), [pairs[key] for key in answers.items]
    update(UseItem, columns, rows, keys, by=by, why=why)
    made.answer, made.is_outside, made.use = answers.strictest, answers.is_outside, answers.use
    record(made, by=by, why=why, fields=["answer", "is_outside", "use"])


def void_use(made: MadeUse, *, by: Any, why: str) -> None:
    """Take an entry out of count that was made by mistake; it stays to be read, with who and why.

    Raises:
        DeskError: it was voided already, or other entries came from it.
    """
    check(by, Verb.RECORD_USES)
    if not why.strip():
        raise DeskError(_("Say why it is voided."))
    with transaction.atomic():
        current = held(made)
        if current.followed_by.filter(voided_at__isnull=True).exists():
            raise DeskError(_("Other entries came from this loan. Void them first."))
        current.voided_at, current.voided_by, current.voided_why = timezone.now(), by, why.strip()[:200]
        record(current, by=by, why=why, fields=["voided_at", "voided_by", "voided_why"])
    made.refresh_from_db()
