"""What the terms in force today say of a request that is answered by the terms of the day on which it was asked."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.translation import ngettext

from governance.engine.uses import Answer
from governance.usedesk.models import ANSWER_NAMES, UseRequest
from governance.usedesk.queries.answering import DeskAnswer, answers_of_two_days
from governance.usedesk.words import finding_words

_MOST_LINES: Final = 3


@dataclass(frozen=True)
class Notice:
    """That the terms in force today answer otherwise. counted: by answer; lines: the first reasons, for everybody."""

    is_stricter: bool
    count: int
    day: date
    counted: Sequence[str]
    lines: Sequence[str]


@dataclass(frozen=True)
class TwoDays:
    """The answer of the day asked, by which people decide, and the answer of today, held against it."""

    asked: DeskAnswer
    today: DeskAnswer

    @cached_property
    def stricter(self) -> frozenset[int]:
        """Keys of specimens for which the answer of today is stricter, by a paper that changed since."""
        return frozenset(pk for pk in self.asked.ids if self._step(pk) > 0)

    @cached_property
    def milder(self) -> frozenset[int]:
        """Keys of specimens for which it is milder; the day asked decides of them all the same."""
        return frozenset(pk for pk in self.asked.ids if self._step(pk) < 0)

    def _step(self, pk: int) -> int:
        return int(self.today.case_of(pk).answer) - int(self.asked.case_of(pk).answer)

    def counted(self, ids: Collection[int]) -> list[str]:
        """ "3 specimens: Ask the provider first", the strictest first."""
        found = dict.fromkeys(sorted(Answer, reverse=True), 0)
        for pk in ids:
            found[self.today.case_of(pk).answer] += 1
        return [f"{_specimens(n)}: {ANSWER_NAMES[answer]}" for answer, n in found.items() if n]

    def lines(self, ids: Collection[int]) -> list[str]:
        """The first reasons of today, in words that everybody may read."""
        deciding = (finding for pk in ids for finding in self.today.case_of(pk).deciding)
        found = dict.fromkeys(finding_words(finding, self.today) for finding in dict.fromkeys(deciding))
        return list(found)[:_MOST_LINES]

    def notice_of(self, ids: Collection[int]) -> Notice | None:
        """For pages: what differs of some specimens, the stricter before the milder; None where nothing does."""
        found = [pk for pk in ids if pk in self.stricter] or [pk for pk in ids if pk in self.milder]
        if not found:
            return None
        is_stricter = found[0] in self.stricter
        return Notice(is_stricter, len(found), self.today.facts.day, self.counted(found), self.lines(found))


def two_days(request: UseRequest) -> TwoDays:
    """Of the day asked and of today: a few queries more than the answer alone, none where it was asked today."""
    return TwoDays(*answers_of_two_days(request, timezone.localdate()))


def _specimens(count: int) -> str:
    return ngettext("%(n)s specimen", "%(n)s specimens", count) % {"n": intcomma(count)}
