"""The answer of now beside that of a past day of the register, and what differs between the two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any, Final

from governance.audit.asking import Answer, Asked, ListedRows, Question, Row, UnknownValueError
from governance.audit.queries.asking import answered

MOST_HELD: Final = 20_000
"""Rows of each answer that are held against each other."""

MOST_SHOWN: Final = 50


@dataclass(frozen=True)
class Changed:
    """A row that is in both answers, with other cells."""

    then: Row
    now: Row


@dataclass(frozen=True)
class BesideNow:
    """Both answers. problem: why there is none now, in words. is_whole: all rows of both were held against each
    other."""

    then: Answer
    now: Answer | None
    added: Sequence[Row] = ()
    gone: Sequence[Row] = ()
    changed: Sequence[Changed] = ()
    is_whole: bool = True
    problem: str = ""

    @property
    def is_same(self) -> bool:
        return self.is_whole and not (self.added or self.gone or self.changed)


def held(answer: Answer) -> Answer:
    """An answer whose rows stay when the clocks are left; those beyond ``MOST_HELD`` are only counted."""
    total = answer.count
    return replace(answer, rows=ListedRows(list(islice(answer.rows, MOST_HELD))), total=total)


def beside_now(question: Question, asked: Asked, then: Answer) -> BesideNow:
    """The same question on the same day in the world, of all that is entered by now."""
    try:
        now = answered(question, replace(asked, known_at=None), lambda found: held(found.answer)).read
    except UnknownValueError as error:
        return BesideNow(then, None, problem=str(error))
    before, after = _by_key(then), _by_key(now)
    return BesideNow(
        then, now,
        added=[row for key, row in after.items() if key not in before],
        gone=[row for key, row in before.items() if key not in after],
        changed=[Changed(before[key], row) for key, row in after.items() if key in before and before[key] != row],
        is_whole=max(len(then.rows), len(now.rows)) < MOST_HELD,
    )  # fmt: skip


def _by_key(answer: Any) -> dict[str, Row]:
    return {row.key: row for row in answer.rows}
