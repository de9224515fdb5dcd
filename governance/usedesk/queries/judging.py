"""What the desk says of a use that was made, by the terms of its day."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.utils import timezone

from governance.engine.uses import MAY_GO, Answer, RecipientKind, Tri, Use
from governance.usedesk.deeds import USES_OF, Deed, loan_uses
from governance.usedesk.models import DeskRules, Recipient, RequestItem, UseRequest
from governance.usedesk.queries.answering import Facts, answers_for
from governance.usedesk.queries.whereabouts import slices
from governance.usedesk.words import snapshot

OUTSIDE: Final = frozenset({Answer.ASK_FIRST, Answer.NOT_ALLOWED})
"""Answers by which a use that nobody approved is not within the terms as they are known. What is silent or not known is not
shown to be within them, which is another thing: papers that nobody read make no breach."""


@dataclass(frozen=True)
class Told:
    """What was told of a use: the facts that conditions of clauses ask about."""

    deed: str
    on: date
    use: Use | None = None
    recipient: Recipient | None = None
    request: UseRequest | None = None

    @property
    def uses(self) -> tuple[Use, ...]:
        """The uses that the desk is asked about; of a loan whose countries are not known, at home and abroad."""
        if self.deed == Deed.LOAN:
            return loan_uses(house_country(), self.country)
        chosen = self.use if self.use in USES_OF[self.deed] else USES_OF[self.deed][0]
        return () if chosen is None else (chosen,)

    @property
    def country(self) -> str:
        """Where the material or the result goes."""
        if self.recipient is not None and self.recipient.country:
            return self.recipient.country
        return self.request.country if self.request is not None else ""


@dataclass(frozen=True)
class ItemAnswer:
    """Of one specimen: the answer of the day, the reasons as they are kept, the decision by which it was approved."""

    answer: Answer | None = None
    reasons: str = "[]"
    decision: int | None = None

    @property
    def is_outside(self) -> bool:
        """Not within the terms as known: a clause that forbids, or one that asks for an agreement that nobody has seen.

        A decision of a person stands in for an agreement, never against a clause that forbids on the day.
        """
        return self.answer == Answer.NOT_ALLOWED or (self.answer in OUTSIDE and self.decision is None)

    @property
    def is_open(self) -> bool:
        """Not shown to be within the terms: they are silent or unread, and nobody decided."""
        return self.answer is not None and not self.is_outside and self.answer not in MAY_GO and self.decision is None


@dataclass(frozen=True)
class Judged:
    """The answers of a use, specimen by specimen."""

    items: Mapping[int, ItemAnswer]
    uses: tuple[Use, ...] = ()

    @property
    def use(self) -> Use | None:
        """The kind of use that is kept; of a loan that may be either, the one abroad."""
        return self.uses[-1] if self.uses else None

    @property
    def strictest(self) -> Answer | None:
        return max((one.answer for one in self.items.values() if one.answer is not None), default=None)

    @property
    def is_outside(self) -> bool:
        return any(one.is_outside for one in self.items.values())

    def counted(self) -> dict[str, int]:
        """How many are within the terms, approved by a person, not shown to be within, and outside."""
        counts = {"within": 0, "approved": 0, "open": 0, "outside": 0}
        for one in self.items.values():
            if one.answer is not None:
                counts[standing_of(one.answer, one.decision)] += 1
        return counts


def standing_of(answer: int, decision: int | None) -> str:
    """How a specimen of a use stands: within, approved, open, outside."""
    one = ItemAnswer(Answer(answer), decision=decision)
    if one.is_outside:
        return "outside"
    return "open" if one.is_open else ("within" if answer in MAY_GO else "approved")


def house_country() -> str:
    """Where the house is; "" if the rules of the desk do not say."""
    return DeskRules.objects.values_list("country", flat=True).first() or ""


def judged(ids: Sequence[int], told: Told) -> Judged:
    """The answers for some specimens. Nothing is asked of a deed that no clause speaks of."""
    uses = told.uses
    if not uses:
        return Judged({key: ItemAnswer() for key in ids})
    decisions = _decisions(told, uses, ids)
    return Judged({key: ItemAnswer(answer, reasons, decisions.get(key)) for key, answer, reasons in _asked(ids, told)},
                  uses)  # fmt: skip


def _asked(ids: Sequence[int], told: Told) -> Iterable[tuple[int, Answer, str]]:
    desk = answers_for(ids, facts_of(told))
    reasons = [json.dumps(snapshot(case, desk)) for case in desk.answers.cases]
    for key, row in zip(desk.ids, desk.answers.case.tolist(), strict=True):
        yield key, desk.answers.cases[row].answer, reasons[row]


def facts_of(told: Told) -> Facts:
    """What the desk is asked. Of the request counts what was told there, and what providers had replied by the day."""
    request, recipient = told.request, told.recipient
    kind = recipient.kind if recipient is not None else None
    of_request = None if request is None else Facts.of(request)
    is_identification = told.use == Use.DNA_FOR_IDENTIFICATION
    return Facts(
        uses=told.uses, day=told.on, recipient=None if kind is None else RecipientKind(kind), country=told.country,
        commercial=Tri.YES if told.deed == Deed.COMMERCIAL else of_request.commercial if of_request else Tri.NOT_TOLD,
        identification_only=Tri.YES if is_identification else of_request.identification_only if of_request
        else Tri.NOT_TOLD,
        parts=of_request.parts if of_request else frozenset(),
        request=None if request is None or _is_agreed_later(request, told.on) else request.pk,
    )  # fmt: skip


def _is_agreed_later(request: UseRequest, on: date) -> bool:
    """Whether a provider agreed after the use was made: then no reply of the request is counted, which is the strict side."""
    return request.questions.filter(reply="agreed", replied_on__gt=on).exists()


def _decisions(told: Told, uses: tuple[Use, ...], ids: Sequence[int]) -> dict[int, int]:
    """By specimen, the decision that let it go: it stands, was made by the day of the use, for these uses and for whom
    it went to."""
    request = told.request
    if request is None or not all(request.uses >> use & 1 for use in uses):
        return {}
    if request.recipient_id and told.recipient is not None and request.recipient_id != told.recipient.pk:
        return {}
    rows = RequestItem.objects.filter(
        request=request, decision__is_approved=True, decision__withdrawn_at__isnull=True
    ).values_list("specimen", "decision", "decision__decided_at")
    found = (row for some in slices(ids) for row in rows.filter(specimen__in=some))
    return {key: pk for key, pk, at in found if timezone.localdate(at) <= told.on}
