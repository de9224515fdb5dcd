"""Duties worked out from rules and facts: made, moved, dropped, taken up again.

What people entered of a duty stays. A duty that was done, accepted or waived is never moved or dropped: it keeps the
day for which it was done, and a note says by which day it would be due now. What was due before the day from which the
house follows duties is not known here: no duty is made of it, and one that nobody touched is dropped.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.conf import settings
from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext_noop, override

from accessions.people.access import Verb, check
from accessions.people.history import copy_to_history, record
from governance.duties.models import Duty, DutyHouse, DutyRun
from governance.duties.queries.expected import AllExpected, Expected, Recorded, all_expected, is_before
from governance.duties.queries.marks import is_behind, mark, rests_on_much
from governance.duties.queries.rules import first_follow_from

_AT_ONCE: Final = 500
_MOST: Final = 300
"""Letters that ``moved_why`` and ``dropped_why`` hold."""
_RUN_WHY: Final = 200


def work_out(*, by: Any, why: str) -> DutyRun:
    """Work all duties out anew. by None: the machine.

    Raises:
        NotAllowedError: the person may not keep duties.
    """
    if by is not None:
        check(by, Verb.KEEP_DUTIES)
    return _run(by, why)


def catch_up(*, by: Any, why: str) -> DutyRun | None:
    """The same, where the register changed since; None if the duties are up to date. by: who changed it."""
    if not is_behind():
        return None
    return _run_if_behind(by, why)


def catch_up_soon(*, by: Any, why: str) -> DutyRun | None:
    """The same after a change by a person who waits for the page: at once, or in the background where duties rest on
    the days and uses of so much material that it takes seconds (None); pages then say that the duties are behind."""
    if not is_behind():
        return None
    if not rests_on_much():
        return catch_up(by=by, why=why)
    from governance.duties.tasks import catch_up_with_duties

    transaction.on_commit(lambda: catch_up_with_duties.enqueue(by.pk if by is not None else None))
    return None


def follow_again(duty: Duty, *, by: Any, why: str) -> None:
    """Bring one duty into step, which the caller holds: of what a person took back again, runs would see nothing until
    the register changes. The house is not locked: a run waits for the row and follows it once more.

    A duty that no run ever followed stays as it is.
    """
    house = DutyHouse.objects.filter(pk=1).first()
    if house is None or not DutyRun.objects.exists():
        return
    today = timezone.localdate()
    with override(settings.LANGUAGE_CODE):  # what is kept of it is written in one language, whoever makes it follow
        expected = all_expected(since=house.follow_from, today=today, of=duty)
    _Work(by, why, house, today).follow(duty, expected.duties.get((duty.source, duty.occurrence)), expected)


def held_house(by: Any) -> DutyHouse:
    """How duties are followed; locked, so that two runs go one after the other. On the first run duties are followed
    from 1 January of the year before."""
    rows = DutyHouse.objects.select_for_update()
    house = rows.filter(pk=1).first()
    if house is None:
        try:
            with transaction.atomic():
                first = DutyHouse(pk=1, follow_from=first_follow_from(timezone.localdate()))
                record(first, by=by, why=gettext_noop("set when duties were worked out first"))
        except IntegrityError:
            pass  # another run was quicker
        house = rows.get(pk=1)
    return house


@dataclass(frozen=True)
class _Read:
    """What follows from a state of the register, by its mark."""

    mark: str
    expected: AllExpected


def _read(house: DutyHouse, today: date) -> _Read:
    state = mark()  # before the facts: a change meanwhile makes it differ again
    with override(settings.LANGUAGE_CODE):  # as ``follow_again``
        return _Read(state, all_expected(since=house.follow_from, today=today))


def _run(by: Any, why: str) -> DutyRun:
    """Read first, then lock and write, so that nobody waits while a large register is read; what changed meanwhile is
    read again under the lock."""
    read = _read_first(by)
    with transaction.atomic():
        return _write(read, _Work(by, why, held_house(by), timezone.localdate()))


def _run_if_behind(by: Any, why: str) -> DutyRun | None:
    """Likewise; None if another run was quicker."""
    read = _read_first(by)
    with transaction.atomic():
        house = held_house(by)
        return _write(read, _Work(by, why, house, timezone.localdate())) if is_behind() else None


def _read_first(by: Any) -> _Read:
    with transaction.atomic():
        house = held_house(by)
    return _read(house, timezone.localdate())


def _write(read: _Read, work: _Work) -> DutyRun:
    if read.mark != mark():
        read = _read(work.house, work.today)
    rows = {(one.source, one.occurrence): one for one in Duty.objects.select_for_update().order_by("pk")}
    work.make([one for key, one in read.expected.duties.items() if key not in rows])
    for key, row in rows.items():
        work.follow(row, read.expected.duties.get(key), read.expected)
    return DutyRun.objects.create(
        by=work.by, why=work.why[:_RUN_WHY], mark=read.mark, made=work.made, moved=work.moved, dropped=work.dropped
    )


@dataclass
class _Work:
    """One run, with its counts."""

    by: Any
    why: str
    house: DutyHouse
    today: date
    made: int = 0
    moved: int = 0
    dropped: int = 0

    def make(self, expected: Iterable[Expected]) -> None:
        """New duties, set by set: thousands on the first run."""
        newest = Duty.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
        rows = [
            Duty(source=one.source, occurrence=one.occurrence, assignee_id=one.assignee, **one.values,
                 **_done(one.done))
            for one in expected
        ]  # fmt: skip
        if rows:
            Duty.objects.bulk_create(rows, batch_size=_AT_ONCE)
            condition = f"{connection.ops.quote_name('id')} > %s"
            copy_to_history(
                Duty, condition, [newest], by=self.by, why=gettext_noop("follows: %(why)s") % {"why": self.why}
            )
            self.made += len(rows)

    def follow(self, row: Duty, expected: Expected | None, all_of_them: AllExpected) -> None:
        """Bring one duty into step."""
        if expected is None:
            if row.source not in all_of_them.left_alone:
                self._drop(row, all_of_them)
        elif _is_settled(row):
            self._note(row, expected)
        else:
            self._update(row, expected)

    def _drop(self, row: Duty, expected: AllExpected) -> None:
        if row.dropped_on is not None or row.done_on is not None or row.waived_on is not None:
            return
        why = _dropped_why(row, expected, self.house)
        self._save(row, {"dropped_on": self.today, "dropped_why": why[:_MOST]}, why)
        self.dropped += 1

    def _note(self, row: Duty, expected: Expected) -> None:
        due: date | None = expected.values["due_on"]
        values: dict[str, Any] = {}
        if due != row.due_on:
            told = {"new": _shown(due), "old": _shown(row.due_on)}
            values["moved_why"] = gettext_noop(
                "By what is known now it would be due on %(new)s. It stays as it was: due %(old)s."
            )
            values["moved_why"] %= told
        if row.dropped_on is not None:
            values |= {"dropped_on": None, "dropped_why": ""}
        self._save(row, values, self.why)

    def _update(self, row: Duty, expected: Expected) -> None:
        values = dict(expected.values) | _recorded(row, expected.done)
        reason = self.why
        if row.dropped_on is not None:
            values |= {"dropped_on": None, "dropped_why": ""}
            reason = gettext_noop("asked for again")
            self.made += 1
        if values["due_on"] != row.due_on:
            values["moved_why"] = reason = _moved_why(row, values)[:_MOST]
            self.moved += 1
        self._save(row, values, reason)

    def _save(self, row: Duty, values: Mapping[str, Any], reason: str) -> None:
        """The columns that differ, with their history; nothing if none does."""
        changed = [name for name, value in values.items() if getattr(row, name) != value]
        for name in changed:
            setattr(row, name, values[name])
        if changed:
            record(row, by=self.by, why=reason, fields=changed)


def _is_settled(row: Duty) -> bool:
    """Whether a person said what became of it. What another record says is no more than that record."""
    by_a_person = row.done_on is not None and row.done_by_id is not None
    return by_a_person or row.accepted_on is not None or row.waived_on is not None


def _done(recorded: Recorded | None) -> dict[str, Any]:
    if recorded is None:
        return {}
    return {"done_on": recorded.on, "done_how": recorded.how, "done_at": timezone.now()}


def _recorded(row: Duty, recorded: Recorded | None) -> dict[str, Any]:
    """What another record says now: done, or not done any more."""
    if recorded is None:
        return {} if row.done_on is None else {"done_on": None, "done_how": "", "done_at": None, "is_nil": False}
    is_same = (row.done_on, row.done_how) == (recorded.on, recorded.how)
    return {} if is_same else _done(recorded)


# Words ----------------------------------------------------------------------------------------------------------------


def _shown(day: date | None) -> str:
    """As words that are kept: in English, whoever makes the change that is followed."""
    with override(settings.LANGUAGE_CODE):
        return date_format(day, "j F Y") if day else gettext_noop("a day that is not known")


def _moved_why(row: Duty, values: Mapping[str, Any]) -> str:
    told = {
        "old": _shown(row.due_on), "new": _shown(values["due_on"]),
        "from": _shown(values["counted_from"]), "before": _shown(row.counted_from),
    }  # fmt: skip
    if row.counted_from != values["counted_from"]:
        return (
            gettext_noop("Moved from %(old)s to %(new)s: it is counted from %(from)s, no longer from %(before)s.")
            % told
        )
    return gettext_noop("Moved from %(old)s to %(new)s: what is asked for was changed.") % told


def _dropped_why(row: Duty, expected: AllExpected, house: DutyHouse) -> str:
    if (row.source, row.occurrence) in expected.before or (row.about_to and is_before(row.due_on, house.follow_from)):
        told = {"day": _shown(house.follow_from)}
        return gettext_noop("It was due before %(day)s, from which duties are followed here.") % told
    if row.promise_id is not None:
        return gettext_noop("The promise was closed, or has no day any more.")
    if row.source not in expected.sources:
        return (
            gettext_noop("The paper does not ask for it any more.")
            if row.rule_id is None
            else gettext_noop("The rule holds no longer.")
        )
    if row.about_to is not None:
        return gettext_noop("Paper or rule did not stand in the time that it is about, or nothing was taken in it.")
    if row.plan_id is not None:
        return gettext_noop("The trip is over or was given up, or the paper is not for it any more.")
    return gettext_noop("What it was counted from is no longer on file, or the paper is not about it.")
