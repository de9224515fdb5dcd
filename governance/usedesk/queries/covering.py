"""For what a decision stands in: what asked for an agreement when it was made, not what came to light since."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any, Final

from governance.engine.tables import NONE
from governance.engine.uses import Answer, Case, Finding
from governance.usedesk.models import RequestDecision
from governance.usedesk.queries.groups import DeskAnswer

Place = int | str
"""What asks: the key of a paper, or the code of the finding where it is of no paper on file."""

_ASKING: Final = frozenset({Answer.ASK_FIRST, Answer.NOT_ALLOWED})
_ANYTHING: Final = frozenset({Answer.SILENT, Answer.NOT_KNOWN})
"""Answers that are stricter than one that asks: who approved these keeps no list of what asked beside them."""


def asking(case: Case, desk: DeskAnswer) -> frozenset[Place]:
    """What asks for an agreement, or forbids, whatever else is not known."""
    return frozenset(_place(finding, desk) for finding in case.findings if finding.answer in _ASKING)


def _place(finding: Finding, desk: DeskAnswer) -> Place:
    key = desk.keys[finding.paper] if finding.paper != NONE else 0
    return key if key > 0 else finding.code


def covers(answer: int, reasons: Iterable[Mapping[str, Any]], asks: frozenset[Place]) -> bool:
    """Whether a decision stands in for all that asks.

    answer, reasons: of the desk when it was decided. Who let go what was simply allowed has agreed to nothing; a reply
    of the provider that was seen then counts.
    """
    if not asks or answer in _ANYTHING:
        return True
    heard = [one for one in reasons if one["answer"] >= Answer.ASK_FIRST or one["code"] == "agreed"]
    return asks <= {one["paper"] or one["code"] for one in heard}


def seen_by(decisions: Collection[int]) -> dict[int, tuple[int, list[dict[str, Any]]]]:
    """By key of a decision, the answer of its day and what decided then: one query."""
    rows = RequestDecision.objects.filter(pk__in=decisions).values_list("pk", "answer", "reasons")
    return {pk: (answer, reasons) for pk, answer, reasons in rows}
