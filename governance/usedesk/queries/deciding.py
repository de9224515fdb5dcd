"""What a person sees before deciding: the group as it is answered now, its reasons, and what is not decided yet."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from governance.engine.uses import Finding
from governance.papers.models import TermsReading, UseTerm
from governance.papers.restriction import opens, restricted_words
from governance.usedesk.models import RequestItem, UseRequest
from governance.usedesk.queries.answering import DeskAnswer, Group
from governance.usedesk.words import ClauseQuote, clause_of, finding_words

_MOST_REASONS: Final = 12
"""Reasons that the page quotes; the page of the request has all."""


@dataclass(frozen=True)
class Reason:
    """A deciding reason for one reader. quote: the clause, for its readers; restricted: what stands in its place."""

    sentence: str
    quote: ClauseQuote | None
    restricted: str


@dataclass(frozen=True)
class ToDecide:
    """A group with its undecided specimens. seen: what the decision is held against when it is made."""

    group: Group
    undecided: tuple[int, ...]
    seen: str

    @property
    def decided(self) -> int:
        return self.group.count - len(self.undecided)


def to_decide(request: UseRequest, group: Group, desk: DeskAnswer) -> ToDecide:
    """One query."""
    return _to_decide(group, desk, undecided_of(request))


def all_that_may_go(request: UseRequest, desk: DeskAnswer) -> list[ToDecide]:
    """The blocks that may go as asked, as far as they are not decided: one query."""
    waiting = undecided_of(request)
    found = [_to_decide(block, desk, waiting) for block in desk.blocks if block.may_go]
    return [one for one in found if one.undecided]


def _to_decide(group: Group, desk: DeskAnswer, waiting: frozenset[int]) -> ToDecide:
    undecided = tuple(pk for pk in group.ids if pk in waiting)
    return ToDecide(group, undecided, f"{group.key}:{fingerprint(group, desk)}")


def undecided_of(request: UseRequest) -> frozenset[int]:
    """Keys of the specimens without a decision that stands."""
    rows = RequestItem.objects.filter(request=request, decision__isnull=True).order_by()
    return frozenset(rows.values_list("specimen_id", flat=True))


def fingerprint(group: Group, desk: DeskAnswer) -> str:
    """Changes with the specimens of a group, with what decides of each, with all that the clauses say, and with the
    facts of the request: for whom, where to, what for."""
    parts = [(part.key, part.ids, part.lines) for part in group.parts or (group,)]
    clauses = [_said_in(term, desk.reading(f)) for f in group.findings if (term := desk.term(f)) is not None]
    told = repr((int(group.answer), group.is_silent, parts, clauses, _facts(desk)))
    return hashlib.sha256(told.encode()).hexdigest()[:24]


def _said_in(term: UseTerm, reading: TermsReading | None) -> tuple[Any, ...]:
    """Every column of a clause, and what its version wants in print."""
    columns = tuple(getattr(term, field.attname) for field in term._meta.concrete_fields)
    return (*columns, reading.acknowledgement if reading else "")


def _facts(desk: DeskAnswer) -> tuple[Any, ...]:
    told = desk.facts
    of = UseRequest.objects.filter(pk=told.request or 0)
    recipient = of.values_list("recipient", flat=True).first()
    return (
        tuple(map(int, told.uses)), told.day, told.recipient, told.country, int(told.commercial),
        int(told.identification_only), sorted(told.parts), recipient,
    )  # fmt: skip


def reasons_for(findings: Iterable[Finding], desk: DeskAnswer, reader: Any) -> tuple[list[Reason], int]:
    """The first reasons as a person may read them, and how many more there are."""
    found = [_reason(finding, desk, reader) for finding in findings]
    distinct = list(dict.fromkeys(found))
    return distinct[:_MOST_REASONS], max(0, len(distinct) - _MOST_REASONS)


def _reason(finding: Finding, desk: DeskAnswer, reader: Any) -> Reason:
    paper = desk.papers.get(finding.paper)
    sentence = finding_words(finding, desk, reader)
    if paper is None:
        return Reason(sentence, None, "")
    if not opens(paper, reader):
        return Reason(sentence, None, restricted_words(paper.restricted_to))
    return Reason(sentence, clause_of(finding, desk), "")


def one_answer_of(desk: DeskAnswer, ids: Sequence[int]) -> Mapping[tuple[int, int], int]:
    """The words and answers of some specimens, each with how many have it."""
    found: dict[tuple[int, int], int] = {}
    for pk in ids:
        case = desk.case_of(pk)
        place = (int(case.word), int(case.answer))
        found[place] = found.get(place, 0) + 1
    return found
