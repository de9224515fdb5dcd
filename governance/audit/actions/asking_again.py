"""Asking saved questions again: what they are answered for each role that follows them, and whether that changed.

One question that fails does not stop the others, and a run ends in time: what is left is asked first by the next one.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import islice
from time import monotonic
from typing import Any, Final

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import override

from accessions.people.access import Verb, check
from governance.audit.asking import Answer, Column, Linked, Row, UnknownValueError
from governance.audit.clocks import AsKnownError
from governance.audit.models import AnswerTaken, SavedQuestion
from governance.audit.queries.asking import answered
from governance.audit.queries.saved import Due, asked_by, due

MOST_HASHED: Final = 100_000
"""Rows of an answer that are read to see whether they changed; beyond, the number alone tells."""

MOST_SECONDS: Final = 20 * 60

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Ran:
    """What a run did. left: what there was no time for."""

    taken: Sequence[AnswerTaken] = ()
    left: Sequence[Due] = field(default_factory=tuple)

    @property
    def failed(self) -> list[AnswerTaken]:
        return [one for one in self.taken if one.problem]

    @property
    def changed(self) -> list[AnswerTaken]:
        return [one for one in self.taken if one.changed]


def ask_due(*, today: date, seconds: float = MOST_SECONDS) -> Ran:
    """Ask what waits; no question is begun once the seconds have passed."""
    until = monotonic() + seconds
    waiting = due(today)
    taken: list[AnswerTaken] = []
    for number, one in enumerate(waiting):
        if monotonic() >= until:
            return Ran(taken, waiting[number:])
        taken.append(_take(one.saved, one.reader, None))
    return Ran(taken)


def ask_again(*, saved: SavedQuestion, by: Any) -> AnswerTaken:
    """Ask it now, for the person's own role."""
    check(by, Verb.KEEP_QUESTIONS)
    return _take(saved, by, by)


@dataclass(frozen=True)
class _Found:
    """What is kept of an answer."""

    count: int = 0
    sentence: str = ""
    rows_sha256: str = ""
    problem: str = ""


def _take(saved: SavedQuestion, reader: Any, by: Any) -> AnswerTaken:
    with override(settings.LANGUAGE_CODE):  # rows are compared by what they say: in one language, whoever asks
        found = _ask(saved, reader)
    with transaction.atomic():
        # the question is the gate: two runs at once hold their answers against each other in one order
        SavedQuestion.objects.select_for_update().get(pk=saved.pk)
        before = AnswerTaken.objects.filter(question=saved, role=reader.role).order_by("-pk").first()
        return AnswerTaken.objects.create(
            question=saved, role=reader.role, asked_at=timezone.now(), asked_by=by, changed=_differs(before, found),
            count=found.count, sentence=found.sentence, rows_sha256=found.rows_sha256, problem=found.problem,
        )  # fmt: skip


def _differs(before: AnswerTaken | None, found: _Found) -> bool:
    """The sentence is not compared: it may name the day on which it was asked."""
    if before is None:
        return False
    if found.problem or before.problem:
        return before.problem != found.problem
    return (before.count, before.rows_sha256) != (found.count, found.rows_sha256)


def _ask(saved: SavedQuestion, reader: Any) -> _Found:
    try:
        question, asked = asked_by(saved, reader)
        return answered(question, asked, lambda found: _kept(found.answer)).read
    except (UnknownValueError, AsKnownError) as error:
        return _Found(problem=str(error))
    except Exception:  # a mistake in one question must not keep the others from being asked
        _log.exception("saved question %s", saved.pk)
        return _Found(problem=_("That is a fault of the register: it is written in its log. Ask again later."))


def _kept(answer: Answer) -> _Found:
    return _Found(answer.count, answer.sentence, rows_hash(answer))


def rows_hash(answer: Answer) -> str:
    """A hash of the rows in whatever order: the sum of the hashes of each.

    Columns that count days are left out: they change with every day that passes, and the days they count from are
    rows' own.
    """
    total = 0
    for row in islice(answer.rows, MOST_HASHED):
        total += int.from_bytes(hashlib.sha256(_row_text(answer.columns, row).encode()).digest(), "big")
    return f"{total % 2**256:064x}"


def _row_text(columns: Sequence[Column], row: Row) -> str:
    values = (cell.value if isinstance(cell, Linked) else cell for cell in row.cells)
    told = [repr(str(value)) for column, value in zip(columns, values, strict=True) if column.unit != "days"]
    return f"{row.key}:{','.join(told)}"
