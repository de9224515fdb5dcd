"""What is asked, with the house rules and the replies of providers, as the engine of answers takes it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from governance.engine.tables import Verdict, fold
from governance.engine.uses import Answer, Asked, Gate, Policy, RecipientKind, Replied, Silence, Tri, Use
from governance.usedesk.models import DeskRules, FootingRule, ProviderQuestion, SilenceRule, Told, UseRequest

_TOLD: Final = {Told.YES: Tri.YES, Told.NO: Tri.NO, Told.NOT_TOLD: Tri.NOT_TOLD}


@dataclass(frozen=True)
class Facts:
    """What is asked, and what is told of it; None, "" and NOT_TOLD are not told.

    country: ISO 3166-1 alpha-2, where the material or the result goes. parts: folded words. request: the key of the
    request whose replies and decisions count; None: of nobody, as for a use that was made without one.
    """

    uses: tuple[Use, ...]
    day: date
    recipient: RecipientKind | None = None
    country: str = ""
    commercial: Tri = Tri.NOT_TOLD
    identification_only: Tri = Tri.NOT_TOLD
    parts: frozenset[str] = frozenset()
    request: int | None = field(default=None, kw_only=True)
    seat: str = field(default="", kw_only=True)
    """Country of the recipient; it stands for no place that is not told, but what is asked for may go there."""

    @classmethod
    def of(cls, request: UseRequest, day: date | None = None) -> Facts:
        """The facts of a request, by the terms of the day on which it was asked, or of another day."""
        kind = request.recipient.kind if request.recipient else None
        return cls(
            uses=_uses_of(request),
            day=day or request.asked_on,
            recipient=None if kind is None else RecipientKind(kind),
            country=request.country,
            commercial=_TOLD[Told(request.commercial)],
            identification_only=_TOLD[Told(request.identification_only)],
            parts=parts_of(request.parts),
            request=request.pk,
            seat=request.recipient.country if request.recipient else "",
        )

    def asked(self) -> list[Asked]:
        """For the engine, a use each."""
        return [
            Asked(
                use, self.day.toordinal(), self.recipient, self.country, self.commercial, self.identification_only,
                self.parts,
            )
            for use in self.uses
        ]  # fmt: skip


def _uses_of(request: UseRequest) -> tuple[Use, ...]:
    """What is asked for; a loan at home that goes to another country, or to somebody there, is asked as one abroad too:
    the clauses on loans abroad and the way there bear on it, whatever it is called."""
    uses = tuple(request.use_list)
    if Use.LOAN_AT_HOME not in uses or Use.LOAN_ABROAD in uses:
        return uses
    places = {request.country or (request.recipient.country if request.recipient else "")} - {""}
    here = DeskRules.objects.values_list("country", flat=True).first() if places else ""
    return tuple(sorted({*uses, Use.LOAN_ABROAD})) if here and places - {here} else uses


def parts_of(text: str) -> frozenset[str]:
    """Words with commas between, folded.

    >>> sorted(parts_of(" Leg,  Hind  wing,"))
    ['hind wing', 'leg']
    """
    return frozenset(fold(part) for part in text.split(",") if part.strip())


def policy() -> Policy:
    """The house rules of the desk of now. Two queries."""
    readings = {
        (None if use is None else Use(use), kind): reading
        for use, kind, reading in SilenceRule.objects.order_by().values_list("use", "paper_kind", "reading")
    }
    rules = FootingRule.objects.order_by().values_list("use", "if_outside", "if_doubtful")
    return Policy(Silence(readings), {Use(use): _gate(outside, doubtful) for use, outside, doubtful in rules})


def _gate(if_outside: int, if_doubtful: int) -> Gate:
    outside, doubtful = Answer(if_outside), Answer(if_doubtful)
    return {
        Verdict.OUTSIDE: outside, Verdict.MISSING: outside,
        Verdict.STRADDLES: doubtful, Verdict.CANNOT_TELL: doubtful, None: doubtful,
    }  # fmt: skip


_REPLIES: Final = {
    ProviderQuestion.Reply.WAITING: Replied.WAITING,
    ProviderQuestion.Reply.AGREED: Replied.AGREED,
    ProviderQuestion.Reply.REFUSED: Replied.REFUSED,
}


def replies(request: int | None, without: Collection[int] = ()) -> dict[tuple[int, Use], Replied]:
    """By key of the paper and use, what the provider replied for a request: the latest word; of one day the strictest.

    A question that waits takes nothing from a reply that came. An agreement to other facts than those of now is none.

    Args:
        without: keys of questions whose agreement does not count.
    """
    if request is None:
        return {}
    rows = list(ProviderQuestion.objects.filter(request=request).order_by().select_related("request"))
    none = [row for row in rows if row.pk in without and row.reply == ProviderQuestion.Reply.AGREED]
    outdated = outdated_agreements(rows) | {row.pk for row in none}
    found: dict[tuple[int, Use], tuple[date, Replied]] = {}
    for row in rows:
        reply = ProviderQuestion.Reply.WAITING if row.pk in outdated else ProviderQuestion.Reply(row.reply)
        word = (date.min if row.pk in outdated else row.replied_on or date.min, _REPLIES[reply])
        for use in (use for use in Use if row.uses >> use & 1):
            found[row.paper_id, use] = max(found.get((row.paper_id, use), word), word)
    return {place: replied for place, (_, replied) in found.items()}


_FACTS: Final = ("recipient_id", "country", "commercial", "identification_only", "parts")


def outdated_agreements(questions: Iterable[ProviderQuestion]) -> frozenset[int]:
    """Keys of questions whose provider agreed to other facts of the request than it tells now: another recipient,
    place, purpose. What was asked then says nothing of them. Two queries for each agreement."""
    agreed = [one for one in questions if one.reply == ProviderQuestion.Reply.AGREED]
    return frozenset(one.pk for one in agreed if _facts_then(one) not in (None, _facts_of(one.request)))


def _facts_of(request: Any) -> tuple[Any, ...]:
    return tuple(getattr(request, name) for name in _FACTS)


def _facts_then(question: ProviderQuestion) -> tuple[Any, ...] | None:
    """What the request told when the provider was asked; None where no history tells it."""
    recorded = question.history.order_by("history_date", "history_id").first()
    if recorded is None:
        return None
    states = UseRequest.history.filter(id=question.request_id, history_date__lte=recorded.history_date)
    then = states.order_by("-history_date", "-history_id").first()
    return None if then is None else _facts_of(then)


def by_row(replied: Mapping[tuple[int, Use], Replied], row_of: Mapping[int, int]) -> dict[tuple[int, Use], Replied]:
    """The same by row of the paper, for those that bear on the material."""
    return {(row_of[paper], use): word for (paper, use), word in replied.items() if paper in row_of}
