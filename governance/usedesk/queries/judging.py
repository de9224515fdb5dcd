"""What the desk says of a use that was made, by the terms of its day."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from django.utils import timezone

from governance.engine.uses import MAY_GO, Answer, Case, RecipientKind, Tri, Use
from governance.usedesk.deeds import USES_OF, Deed, loan_uses
from governance.usedesk.models import DeskRules, Recipient, RequestDecision, RequestItem, UseRequest
from governance.usedesk.queries.answering import DeskAnswer, Facts, answers_for, answers_in_turn
from governance.usedesk.queries.covering import Place, asking, covers, seen_by
from governance.usedesk.queries.way import WayThere
from governance.usedesk.queries.whereabouts import slices
from governance.usedesk.questions import parts_of
from governance.usedesk.words import snapshot


@dataclass(frozen=True)
class Told:
    """What was told of a use: the facts that conditions of clauses ask about; what is blank is as the request says."""

    deed: str
    on: date
    use: Use | None = None
    recipient: Recipient | None = None
    request: UseRequest | None = None
    commercial: str = ""
    identification_only: str = ""
    parts: str = ""

    @property
    def is_as_asked(self) -> bool:
        """Whether it was made as the request asked: for the same recipient and place, no more commercial, and no other
        parts. What a provider agreed to, and what was decided, was of what was asked."""
        asked = self.request
        if asked is None:
            return False
        commercial = "yes" if self.deed == Deed.COMMERCIAL else self.commercial
        parts = parts_of(asked.parts)
        return (
            (self.recipient is None or not asked.recipient_id or self.recipient.pk == asked.recipient_id)
            and (not asked.country or not self.country or self.country == asked.country)
            and (commercial != "yes" or asked.commercial == "yes" or Use.COMMERCIAL_USE in asked.use_list)
            and not (self.identification_only == "no" and asked.identification_only == "yes")
            and (not parts or parts_of(self.parts) <= parts)
        )

    @property
    def uses(self) -> tuple[Use, ...]:
        """The uses that the desk is asked about; of a loan whose countries are not known, at home and abroad."""
        if self.deed == Deed.LOAN:
            return loan_uses(house_country(), self.country)
        chosen = self.use if self.use in USES_OF[self.deed] else USES_OF[self.deed][0]
        return () if chosen is None else (chosen,)

    @property
    def country(self) -> str:
        """Where the material or the result goes: where the request says, if it went to whom the request names."""
        request, recipient = self.request, self.recipient
        is_theirs = request is not None and (recipient is None or recipient.pk == request.recipient_id)
        if request is not None and is_theirs and request.country:
            return request.country
        if recipient is not None and recipient.country:
            return recipient.country
        return request.country if request is not None else ""


@dataclass(frozen=True)
class ItemAnswer:
    """Of one specimen: the answer of the day, the reasons as they are kept, the decision by which it was approved.

    asks: some paper, or the way there, asks for an agreement that nobody has seen, whatever else is not known. What is
    silent or not known is not shown to be within the terms, which is another thing: papers that nobody read make no
    breach.
    """

    answer: Answer | None = None
    reasons: str = "[]"
    decision: int | None = None
    asks: bool = False

    @property
    def is_outside(self) -> bool:
        """Not within the terms as known: a clause that forbids, or one that asks for an agreement that nobody has seen.

        A decision of a person stands in for an agreement, never against a clause that forbids on the day.
        """
        return self.answer == Answer.NOT_ALLOWED or (self.asks and self.decision is None)


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
                counts[standing_of(one.answer, is_outside=one.is_outside, is_approved=one.decision is not None)] += 1
        return counts


def standing_of(answer: int, *, is_outside: bool, is_approved: bool) -> str:
    """How a specimen stands towards the terms of that day: within, approved, open (not shown to be within), outside."""
    if is_outside:
        return "outside"
    if answer in MAY_GO:
        return "within"
    return "approved" if is_approved else "open"


def house_country() -> str:
    """Where the house is; "" if the rules of the desk do not say."""
    return DeskRules.objects.values_list("country", flat=True).first() or ""


def judged(
    ids: Sequence[int], told: Told, *, decided: Mapping[int, int] | None = None, way: WayThere | None = None
) -> Judged:
    """The answers for some specimens. Nothing is asked of a deed that no clause speaks of.

    Args:
        decided: by specimen, the decision that counted when it was recorded; it counts again, withdrawn since or not.
        way: the way there, if it is told; None: as the facts have it.
    """
    uses = told.uses
    if not uses:
        return Judged({key: ItemAnswer() for key in ids})
    decisions = _decisions(told, uses, ids, decided or {})
    seen = seen_by(set(decisions.values()))
    items = {}
    for key, answer, reasons, asks in _asked(ids, told, way):
        decision = decisions.get(key)
        stands = decision is not None and (answer == Answer.NOT_ALLOWED or covers(*seen[decision], asks))
        items[key] = ItemAnswer(answer, reasons, decision if stands else None, bool(asks))
    return Judged(items, uses)


def _asked(ids: Sequence[int], told: Told, way: WayThere | None) -> Iterator[tuple[int, Answer, str, frozenset[Place]]]:
    """Key, answer, reasons, and what asks for an agreement."""
    facts = facts_of(told)
    desk = answers_for(ids, facts) if way is None else answers_in_turn(ids, [facts], way)[0]
    kept = [(case.answer, json.dumps(_reasons(case, desk)), asking(case, desk)) for case in desk.answers.cases]
    for key, row in zip(desk.ids, desk.answers.case.tolist(), strict=True):
        yield key, *kept[row]


def _reasons(case: Case, desk: DeskAnswer) -> list[dict[str, Any]]:
    """What decided; and what asks for an agreement, where something unread or silent is stricter than that."""
    asks = replace(case, answer=Answer.ASK_FIRST)
    more = snapshot(asks, desk) if case.answer in (Answer.SILENT, Answer.NOT_KNOWN) else []
    return [*snapshot(case, desk), *more]


def facts_of(told: Told) -> Facts:
    """What the desk is asked. Of the request counts what was told there, and what providers had replied by the day."""
    request, recipient = told.request, told.recipient
    kind = recipient.kind if recipient is not None else None
    of_request = Facts(uses=told.uses, day=told.on) if request is None else Facts.of(request)
    commercial = "yes" if told.deed == Deed.COMMERCIAL else told.commercial
    identification = "yes" if told.use == Use.DNA_FOR_IDENTIFICATION else told.identification_only
    return Facts(
        uses=told.uses, day=told.on, recipient=None if kind is None else RecipientKind(kind), country=told.country,
        commercial=_TRI.get(commercial, of_request.commercial),
        identification_only=_TRI.get(identification, of_request.identification_only),
        parts=parts_of(told.parts) or of_request.parts,
        request=None if request is None or not told.is_as_asked or _is_agreed_later(request, told.on) else request.pk,
    )  # fmt: skip


_TRI: Final = {"yes": Tri.YES, "no": Tri.NO}


def _is_agreed_later(request: UseRequest, on: date) -> bool:
    """Whether a provider agreed after the use: then no reply of the request is counted, which is the strict side."""
    return request.questions.filter(reply="agreed", replied_on__gt=on).exists()


def _decisions(told: Told, uses: tuple[Use, ...], ids: Sequence[int], decided: Mapping[int, int]) -> dict[int, int]:
    """By specimen, the decision that let it go: it stands, was made by the day of the use, for these uses and for what
    was asked."""
    request = told.request
    if request is None or not told.is_as_asked or not all(request.uses >> use & 1 for use in uses):
        return {}
    rows = RequestItem.objects.filter(
        request=request, decision__is_approved=True, decision__withdrawn_at__isnull=True
    ).values_list("specimen", "decision", "decision__decided_at")
    found = (row for some in slices(ids) for row in rows.filter(specimen__in=some))
    days = dict(RequestDecision.objects.filter(pk__in=set(decided.values())).values_list("pk", "decided_at"))
    kept = ((key, pk, days[pk]) for key, pk in decided.items())
    return {key: pk for key, pk, at in (*kept, *found) if timezone.localdate(at) <= told.on}
