"""Decisions on a request: which material may go and which stays; made for a group or a part of one, and withdrawn."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from accessions.people.access import Verb, check
from accessions.people.history import CHANGED, copy_to_history, record
from governance.engine.uses import MAY_GO, Answer
from governance.usedesk.actions.errors import DeskError, reasoned
from governance.usedesk.actions.locking import held
from governance.usedesk.models import ANSWER_NAMES, RequestDecision, RequestItem, UseItem, UseRequest
from governance.usedesk.queries.answering import DeskAnswer
from governance.usedesk.queries.deciding import all_that_may_go, fingerprint, one_answer_of, undecided_of
from governance.usedesk.queries.in_force_today import TwoDays, two_days
from governance.usedesk.words import snapshot

_AT_ONCE: Final = 5000
"""Keys in one statement: SQLite takes 32,766 values."""


def decide(
    *, request: UseRequest, ids: Collection[int] | None = None, is_approved: bool, reason: str = "", by: Any,
    seen: str = "", answer: DeskAnswer | None = None,
) -> RequestDecision:  # fmt: skip
    """Decide that specimens may go, or that they stay. The answer is worked out anew and must be the one that was seen.

    Args:
        ids: keys of specimens, all answered alike; None: all of the group in ``seen`` that are not decided.
        seen: of ``ToDecide``: the group that the person had before them.
        answer: the same for a caller that holds the answer itself.
        reason: a sentence, unless the terms simply allow what is approved, or forbid what is declined.

    Raises:
        DeskError: the answer changed meanwhile, some are decided already or answered otherwise, the terms do not allow
            what was to be approved or are stricter today, or a reason is missing.
    """
    check(by, Verb.APPROVE_USES)
    with transaction.atomic():
        current = held(request)
        days = two_days(current)
        now = days.asked
        chosen = _chosen(now, current, ids, seen)
        if answer is not None:
            _check_unchanged(answer, now, chosen)
        if is_approved:
            _refuse_where_stricter_today(days, chosen)
        return _decide(current, now, chosen, is_approved, reason, by)


def approve_all(*, request: UseRequest, seen: Collection[str], by: Any, reason: str = "") -> list[RequestDecision]:
    """Approve in one step all that may go as asked. seen: of each ``ToDecide`` that the person had before them.

    Raises:
        DeskError: the answers changed meanwhile, are stricter by the terms in force today, or nothing undecided may go.
    """
    check(by, Verb.APPROVE_USES)
    with transaction.atomic():
        current = held(request)
        days = two_days(current)
        now = days.asked
        waiting = all_that_may_go(current, now)
        if not waiting:
            raise DeskError(_("Nothing that is undecided may go as asked."))
        if {one.seen for one in waiting} != set(seen):
            raise DeskError(_changed_meanwhile())
        _refuse_where_stricter_today(days, [pk for one in waiting for pk in one.undecided])
        return [_decide(current, now, one.undecided, True, reason, by) for one in waiting]


def withdraw_decision(*, decision: RequestDecision, reason: str, by: Any) -> RequestDecision:
    """Take a decision back: its specimens are undecided again. The decision stays in the record.

    Raises:
        DeskError: it was withdrawn already, a use rests on it, or the reason is no sentence.
    """
    check(by, Verb.APPROVE_USES)
    reason = reasoned(reason)
    with transaction.atomic():
        held(decision.request)
        current = RequestDecision.objects.select_for_update().get(pk=decision.pk)
        if current.withdrawn_at is not None:
            raise DeskError(_("This decision was withdrawn already."))
        _refuse_where_used(current)
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, reason
        record(current, by=by, why=reason, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
        keys = list(RequestItem.objects.filter(decision=current).order_by().values_list("pk", flat=True))
        RequestItem.objects.filter(decision=current).update(decision=None)
        for some in _slices(keys):
            marks = ", ".join(["%s"] * len(some))
            copy_to_history(RequestItem, f"id IN ({marks})", some, by=by, why=reason, kind=CHANGED)
    return current


def _chosen(now: DeskAnswer, request: UseRequest, ids: Collection[int] | None, seen: str) -> list[int]:
    group_ids = _seen_group(now, seen) if seen else None
    waiting = undecided_of(request)
    if ids is None:
        if group_ids is None:
            raise ValueError("decide: say which specimens, or which group was seen")
        chosen = [pk for pk in group_ids if pk in waiting]
    else:
        chosen = list(dict.fromkeys(ids))
        known = now.row_of if group_ids is None else frozenset(group_ids)
        if strange := [pk for pk in chosen if pk not in known]:
            words = ngettext(
                "%(n)d specimen is not in this group of the request.", "%(n)d specimens are not in this group.",
                len(strange),
            )  # fmt: skip
            raise DeskError(words % {"n": len(strange)})
        if decided := sum(pk not in waiting for pk in chosen):
            words = ngettext(
                "%(n)d specimen is decided already. Withdraw that decision first.",
                "%(n)d specimens are decided already. Withdraw those decisions first.",
                decided,
            )
            raise DeskError(words % {"n": decided})
    if not chosen:
        raise DeskError(_("No specimen was chosen that is not decided yet."))
    return chosen


def _seen_group(now: DeskAnswer, seen: str) -> Sequence[int]:
    key, _mark, mark = seen.partition(":")
    group = now.group(key)
    if group is None or fingerprint(group, now) != mark:
        raise DeskError(_changed_meanwhile())
    return group.ids


def _check_unchanged(before: DeskAnswer, now: DeskAnswer, ids: Sequence[int]) -> None:
    def of(desk: DeskAnswer) -> list[str]:
        place = {pk: group.key for group in desk.groups for pk in group.ids}
        return [place.get(pk, "") for pk in ids]

    if of(before) != of(now):
        raise DeskError(_changed_meanwhile())


def _changed_meanwhile() -> str:
    return _(
        "The answer changed meanwhile: papers, rules, replies or specimens are no longer those that you saw. Nothing "
        "was decided. Look at it again, then decide."
    )


def _refuse_where_stricter_today(days: TwoDays, ids: Sequence[int]) -> None:
    """The day asked decides, but a paper that was revoked, ended or amended since still binds whoever lets go today."""
    stricter = [pk for pk in ids if pk in days.stricter]
    if not stricter:
        return
    words = _(
        "By the terms in force today the answer is stricter: %(counts)s. %(lines)s Set the day of the request to today "
        "and look again; where decisions stand that a use rests on, take these specimens into a new request."
    )
    told = {"counts": "; ".join(days.counted(stricter)), "lines": " ".join(days.lines(stricter))}
    raise DeskError(words % told)


def _decide(
    request: UseRequest, desk: DeskAnswer, ids: Sequence[int], is_approved: bool, reason: str, by: Any
) -> RequestDecision:
    answers = one_answer_of(desk, ids)
    if len(answers) > 1:
        raise DeskError(_("These specimens are answered differently. Decide them group by group."))
    told = desk.case_of(ids[0])
    made = RequestDecision(
        request=request, is_approved=is_approved, answer=int(told.answer), is_silent=told.is_silent,
        reasons=_reasons(desk, ids), reason=_reason(told.answer, is_approved, reason), decided_by=by,
    )  # fmt: skip
    try:
        made.full_clean()
    except ValidationError as problem:
        raise DeskError(" ".join(problem.messages)) from None
    record(
        made, by=by, why=made.reason or gettext_noop("may go") if is_approved else made.reason or gettext_noop("stays")
    )
    _mark(made, ids, by)
    return made


def _reason(answer: Answer, is_approved: bool, reason: str) -> str:
    if is_approved and answer == Answer.NOT_ALLOWED:
        raise DeskError(
            _(
                "The terms do not allow this, and no decision stands against that. If a paper allows it, enter the "
                "paper first; if it was only asked too much, change the request."
            )
        )
    speaks_for_itself = answer in MAY_GO if is_approved else answer == Answer.NOT_ALLOWED
    if speaks_for_itself and not reason.strip():
        return ""
    if not reason.strip():
        word = ANSWER_NAMES[answer]
        if is_approved:
            raise DeskError(_("The answer is “%(word)s”: say why it may go all the same.") % {"word": word})
        raise DeskError(_("The answer is “%(word)s”: say why it stays here.") % {"word": word})
    return reason.strip() if speaks_for_itself else reasoned(reason)


def _reasons(desk: DeskAnswer, ids: Sequence[int]) -> list[dict[str, Any]]:
    """What decides of these specimens, each reason once."""
    rows = dict.fromkeys(int(desk.answers.case[desk.row_of[pk]]) for pk in ids)
    found = {repr(one): one for row in rows for one in snapshot(desk.answers.cases[row], desk)}
    return list(found.values())


def _mark(decision: RequestDecision, ids: Sequence[int], by: Any) -> None:
    """Set by set, with history; the request is locked, so the count must come out."""
    items = RequestItem.objects.filter(request=decision.request_id, decision__isnull=True)
    marked = sum(items.filter(specimen_id__in=some).update(decision=decision) for some in _slices(ids))
    if marked != len(ids):
        raise DeskError(_changed_meanwhile())
    why = decision.reason or (gettext_noop("may go") if decision.is_approved else gettext_noop("stays"))
    copy_to_history(RequestItem, "decision_id = %s", [decision.pk], by=by, why=why, kind=CHANGED)


def _slices(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    return (keys[start : start + _AT_ONCE] for start in range(0, len(keys), _AT_ONCE))


def _refuse_where_used(decision: RequestDecision) -> None:
    rows = UseItem.objects.filter(decision=decision, use__voided_at__isnull=True)
    count = rows.count()
    if count:
        words = ngettext(
            "%(n)d specimen was used on the strength of this decision, so it stands. Void that use first, if it was "
            "entered by mistake.",
            "%(n)d specimens were used on the strength of this decision, so it stands. Void those uses first, if they "
            "were entered by mistake.",
            count,
        )
        raise DeskError(words % {"n": count})
