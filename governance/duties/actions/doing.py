"""What becomes of duties: done with evidence, accepted, waived; who sees to them; each step can be taken back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from accessions.people.access import Verb, check, may
from accessions.people.history import record
from governance.duties.actions.errors import DutyError
from governance.duties.actions.proofs import Letter, received_proof
from governance.duties.actions.working_out import follow_again
from governance.duties.models import Duty
from governance.duties.queries.nil_returns import taken_in_its_time
from governance.duties.queries.one_duty import NIL_KINDS
from governance.duties.words import day_words
from governance.papers.restriction import check_readable, is_readable
from governance.scans.models import Scan

_DONE: Final = ("done_on", "done_how", "is_nil", "done_scan", "done_at", "done_by")
_ACCEPTED: Final = ("accepted_on", "accepted_how", "accepted_scan", "accepted_at", "accepted_by")
_WAIVED: Final = ("waived_on", "waived_why", "waived_at", "waived_by")

MOST_AT_ONCE: Final = 100
"""So many duties are marked or given at once: as many as a page of the list shows."""


def mark_done(
    *, duty: Duty, on: date, how: str, is_nil: bool = False, scan: Scan | None = None, letter: Letter | None = None,
    by: Any, why: str = "",
) -> Duty:  # fmt: skip
    """Record that a duty was done on a day, with how and where the proof is.

    Args:
        is_nil: a return that says that nothing was taken.
        scan: the proof, on file already; letter: the proof as it is sent along, which is kept whatever follows.

    Raises:
        DutyError: it is done or waived already, the day lies ahead, nothing says how, it is no return, or something was
            taken or may have been taken in the time of a return that says that nothing was.
        RestrictedPaperError: what its paper says is not for this person.
        ValidationError: the letter was refused.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_open_to(duty, by)
    _check_told(on, how, _("Say how it was done, and where the proof is."))
    proof = scan or received_proof(letter, papers=[duty.paper], by=by, why=why or gettext_noop("done"))
    with transaction.atomic():
        current = _held(duty, by)
        _refuse(_why_not_done(current, is_nil))
        return _write_done(current, on=on, how=how, is_nil=is_nil, scan=proof, by=by, why=why)


def mark_several_done(
    *, duties: Sequence[Duty], on: date, how: str, letter: Letter | None = None, by: Any, why: str = ""
) -> list[Duty]:
    """Mark duties as done with one proof: all of them or none.

    Raises:
        DutyError: the reasons of all that cannot be marked, or there are none, or too many.
        ValidationError: the letter was refused.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_number(duties)
    _check_told(on, how, _("Say how it was done, and where the proof is."))
    seen = _held_all(duties, lock=False)
    _refuse_all(_why_none_of(seen, by))
    proof = received_proof(letter, papers=[one.paper for one in seen], by=by, why=why or gettext_noop("done"))
    with transaction.atomic():
        current = _held_all(duties)
        _refuse_all(_why_none_of(current, by))
        return [_write_done(one, on=on, how=how, is_nil=False, scan=proof, by=by, why=why) for one in current]


def _why_none_of(current: Sequence[Duty], by: Any) -> list[str]:
    problems = []
    for one in current:
        closed = one.paper is not None and not is_readable(one.paper, by)
        problem = _("its paper is open to some roles only.") if closed else _why_not_done(one, is_nil=False)
        if problem:
            problems.append(f"{_named(one)}: {problem}")
    return problems


def _named(duty: Duty) -> str:
    """A duty in a message: its kind, its paper and its day, which are open to everybody."""
    parts = [str(duty.get_kind_display()), duty.paper.reference if duty.paper else "", duty.label]
    parts.append(day_words(duty.due_on) if duty.due_on else "")
    return ", ".join(part for part in parts if part)


def _why_not_done(duty: Duty, is_nil: bool) -> str:
    if duty.done_on is not None:
        return _("It is done already, on %(day)s.") % {"day": day_words(duty.done_on)}
    if duty.waived_on is not None:
        return _("It is waived. Take the waiver back first.")
    if is_nil and duty.kind not in NIL_KINDS:
        return _("Only a report or a return can say that nothing was taken.")
    return _why_not_nil(duty) if is_nil else ""


def _why_not_nil(duty: Duty) -> str:
    taken = taken_in_its_time(duty)
    words = ngettext(
        "Nothing taken cannot be recorded: %(n)d specimen under this paper was taken in that time, or may have been. "
        "Mark the duty as done without it, or correct the day of taking first.",
        "Nothing taken cannot be recorded: %(n)d specimens under this paper were taken in that time, or may have been. "
        "Mark the duty as done without it, or correct the days of taking first.", taken,
    )  # fmt: skip
    return words % {"n": taken} if taken else ""


def _write_done(duty: Duty, *, on: date, how: str, is_nil: bool, scan: Scan | None, by: Any, why: str) -> Duty:
    duty.done_on, duty.done_how, duty.is_nil, duty.done_scan = on, how.strip(), is_nil, scan
    duty.done_at, duty.done_by = timezone.now(), by
    record(duty, by=by, why=why or gettext_noop("done"), fields=_DONE)
    return duty


def accept(
    *, duty: Duty, on: date, how: str, scan: Scan | None = None, letter: Letter | None = None, by: Any, why: str = ""
) -> Duty:
    """Record that whoever it is owed to accepted it on a day: by whom, and how.

    Raises:
        DutyError: it is not done, or accepted already; the day lies ahead, or before it was done; nothing says how.
        RestrictedPaperError: what its paper says is not for this person.
        ValidationError: the letter was refused.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_open_to(duty, by)
    _check_told(on, how, _("Say by whom it was accepted, and how."))
    proof = scan or received_proof(letter, papers=[duty.paper], by=by, why=why or gettext_noop("accepted"))
    with transaction.atomic():
        current = _held(duty, by)
        _refuse(_why_not_accepted(current, on))
        current.accepted_on, current.accepted_how, current.accepted_scan = on, how.strip(), proof
        current.accepted_at, current.accepted_by = timezone.now(), by
        record(current, by=by, why=why or gettext_noop("accepted"), fields=_ACCEPTED)
        return current


def _why_not_accepted(duty: Duty, on: date) -> str:
    if duty.done_on is None:
        return _("It is not marked as done. Mark it first, then record that it was accepted.")
    if duty.accepted_on is not None:
        return _("It is accepted already, on %(day)s.") % {"day": day_words(duty.accepted_on)}
    if on < duty.done_on:
        return _("It was done on %(day)s and cannot be accepted before.") % {"day": day_words(duty.done_on)}
    return ""


def waive(*, duty: Duty, on: date, why: str, by: Any) -> Duty:
    """Record that a duty need not be done, for a reason: who said so, and where that is written.

    Raises:
        DutyError: it is done or waived already, the day lies ahead, or no reason is given.
        RestrictedPaperError: what its paper says is not for this person.
    """
    check(by, Verb.WAIVE_DUTIES)
    _check_open_to(duty, by)
    _check_told(on, why, _("Say why it need not be done, and who said so."))
    with transaction.atomic():
        current = _held(duty, by)
        if current.done_on is not None:
            raise DutyError(
                _("It is done, on %(day)s. What was done is not waived.") % {"day": day_words(current.done_on)}
            )
        if current.waived_on is not None:
            raise DutyError(_("It is waived already, on %(day)s.") % {"day": day_words(current.waived_on)})
        current.waived_on, current.waived_why = on, why.strip()
        current.waived_at, current.waived_by = timezone.now(), by
        record(current, by=by, why=gettext_noop("waived"), fields=_WAIVED)
        return current


def take_back(*, duty: Duty, by: Any, why: str) -> str:
    """Take back the last of what was recorded: that it was accepted, or else that it was done. The history keeps it.

    Returns:
        "accepted" or "done": what was taken back.

    Raises:
        DutyError: nothing is recorded, or no reason is given.
        RestrictedPaperError: what its paper says is not for this person.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_open_to(duty, by)
    _check_reason(why)
    with transaction.atomic():
        current = _held(duty, by)
        if current.done_on is None:
            raise DutyError(_("Nothing is recorded that could be taken back."))
        step = "accepted" if current.accepted_on is not None else "done"
        if step == "done" and current.done_by_id is None:
            raise DutyError(
                _("Another record says that it was done (%(how)s). Change it there.") % {"how": current.done_how}
            )
        _clear(current, _ACCEPTED if step == "accepted" else _DONE, by=by, why=why)
        return step


def take_waiver_back(*, duty: Duty, by: Any, why: str) -> Duty:
    """A duty that was waived is to be done after all.

    Raises:
        DutyError: it is not waived, or no reason is given.
        RestrictedPaperError: what its paper says is not for this person.
    """
    check(by, Verb.WAIVE_DUTIES)
    _check_open_to(duty, by)
    _check_reason(why)
    with transaction.atomic():
        current = _held(duty, by)
        if current.waived_on is None:
            raise DutyError(_("It is not waived."))
        _clear(current, _WAIVED, by=by, why=why)
        return current


def _clear(duty: Duty, columns: Sequence[str], *, by: Any, why: str) -> None:
    """Blank what was recorded. What was settled kept its day, so it is brought into step with its rule now."""
    blank = Duty()
    for column in columns:
        setattr(duty, column, getattr(blank, column))
    record(duty, by=by, why=why, fields=columns)
    follow_again(duty, by=by, why=why)


def assign(*, duties: Sequence[Duty], to: Any, by: Any, why: str = "") -> int:
    """Give duties to somebody who sees to them; to None: nobody. Returns how many changed hands.

    Raises:
        DutyError: that person may not keep duties, or there are none, or too many.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_number(duties)
    if to is not None and not may(to, Verb.KEEP_DUTIES):
        raise DutyError(_("%(name)s may not keep duties. Choose somebody who may.") % {"name": to.shown_name})
    changed = 0
    with transaction.atomic():
        for current in _held_all(duties):
            if current.assignee_id != (to.pk if to else None):
                current.assignee = to
                record(current, by=by, why=why or gettext_noop("assigned"), fields=["assignee"])
                changed += 1
    return changed


def set_note(*, duty: Duty, note: str, by: Any, why: str = "") -> bool:
    """Write the note of a duty; whether it changed.

    Raises:
        RestrictedPaperError: what its paper says is not for this person.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_open_to(duty, by)
    with transaction.atomic():
        current = _held(duty, by)
        if current.note == note.strip():
            return False
        current.note = note.strip()
        record(current, by=by, why=why or gettext_noop("note"), fields=["note"])
        return True


def _check_open_to(duty: Duty, by: Any) -> None:
    if duty.paper is not None:
        check_readable(duty.paper, by)


def _check_told(on: date, words: str, missing: str) -> None:
    if on > timezone.localdate():
        raise DutyError(_("%(day)s is still to come. Record it when it happened.") % {"day": day_words(on)})
    if not words.strip():
        raise DutyError(missing)


def _check_reason(why: str) -> None:
    if not why.strip():
        raise DutyError(_("Say why it is taken back."))


def _check_number(duties: Sequence[Duty]) -> None:
    if not duties:
        raise DutyError(_("Choose at least one duty."))
    if len(duties) > MOST_AT_ONCE:
        raise DutyError(_("At most %(n)d duties at once.") % {"n": MOST_AT_ONCE})


def _refuse(problem: str) -> None:
    if problem:
        raise DutyError(problem)


def _refuse_all(problems: Sequence[str]) -> None:
    if problems:
        raise DutyError(" ".join(problems))


def _held(duty: Duty, by: Any) -> Duty:
    """The duty as it is now, locked until the transaction ends: two people at one duty both learn what stands."""
    current = Duty.objects.select_for_update(of=("self",)).select_related("paper").get(pk=duty.pk)
    _check_open_to(current, by)
    return current


def _held_all(duties: Sequence[Duty], *, lock: bool = True) -> list[Duty]:
    """In the order of their keys, so that two that hold several never wait for each other."""
    rows = Duty.objects.filter(pk__in=[duty.pk for duty in duties]).select_related("paper").order_by("pk")
    return list(rows.select_for_update(of=("self",)) if lock else rows)
