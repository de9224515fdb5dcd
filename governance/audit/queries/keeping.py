"""Until when each paper is kept, by which rule, and why it is not to be disposed of yet."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any, Final

from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from governance.audit.models import Disposal, KeptKind, UtilisationEnd
from governance.audit.queries.keeping_holds import Hold, holds_of
from governance.audit.queries.keeping_rules import Rule, keeping_rules
from governance.engine.keeping import kept_until, may_go
from governance.engine.tables import Layer
from governance.papers.lifetimes import Lifetime, Standing, lifetime
from governance.papers.models import Paper, PaperKind, TitleRecord

ABS_KINDS: Final = frozenset({
    PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.MUTUALLY_AGREED_TERMS, PaperKind.ACCESS_PERMIT,
    PaperKind.CERTIFICATE_OF_COMPLIANCE, PaperKind.MATERIAL_TRANSFER_AGREEMENT,
})  # fmt: skip
"""Kinds of papers of access and benefit-sharing; so is every paper that serves the layer of access."""

TITLE_KINDS: Final = frozenset({
    PaperKind.DEED_OF_TRANSFER, PaperKind.DEED_OF_GIFT, PaperKind.BEQUEST, PaperKind.PROOF_OF_PURCHASE,
    PaperKind.EXCHANGE_AGREEMENT,
})  # fmt: skip
"""Kinds that show how material came to be owned; so does every paper that a title record names."""

_NOT_OVER: Final = frozenset({Standing.IN_FORCE, Standing.NOT_YET, Standing.BETWEEN, Standing.SUSPENDED,
                              Standing.APPLIED})  # fmt: skip


_LONGEST_KEY: Final = 18


class State(StrEnum):
    """Whether a paper may be disposed of."""

    MAY_GO = "may-go"
    HELD = "held"
    NOT_ADOPTED = "not-adopted"
    UNTIL = "until"
    OPEN = "open"
    NOT_KNOWN = "not-known"
    FOR_EVER = "for-ever"
    DISPOSED = "disposed"


STATE_NAMES: Final = {
    State.MAY_GO: gettext_lazy("may be disposed of"),
    State.HELD: gettext_lazy("kept: still needed"),
    State.NOT_ADOPTED: gettext_lazy("kept: rule not adopted"),
    State.UNTIL: gettext_lazy("kept until its day"),
    State.OPEN: gettext_lazy("utilisation open"),
    State.NOT_KNOWN: gettext_lazy("day not known"),
    State.FOR_EVER: gettext_lazy("kept for ever"),
    State.DISPOSED: gettext_lazy("disposed of"),
}


@dataclass
class Kept:
    """A paper with its rule. since: the day that starts the period; until: the last day of keeping; both None where
    there is none, or it is not known. end: the end of utilisation that stands. holds: what keeps it beyond its day."""

    paper: Paper
    rule: Rule
    state: State
    since: date | None = None
    until: date | None = None
    end: UtilisationEnd | None = None
    disposal: Disposal | None = None
    holds: Sequence[Hold] = field(default_factory=tuple)

    @property
    def state_name(self) -> Any:
        """The state in words."""
        return STATE_NAMES[self.state]

    @property
    def is_abs(self) -> bool:
        """Whether its day follows from the end of utilisation."""
        return self.rule.kind is KeptKind.ABS

    @property
    def why(self) -> str:
        """Why it is not to be disposed of; "" where it may be."""
        words: str = _WHY[self.state](self)
        return words


def _day(day: date | None) -> str:
    return date_format(day, "j F Y") if day else ""


_WHY: Final[Mapping[State, Callable[[Any], str]]] = {
    State.MAY_GO: lambda kept: "",
    State.HELD: lambda kept: "; ".join(hold.words for hold in kept.holds),
    State.NOT_ADOPTED: lambda kept: "; ".join(
        [_("the house has not adopted the rule with its source"), *(hold.words for hold in kept.holds)]
    ),
    State.UNTIL: lambda kept: _("it is kept up to %(day)s") % {"day": _day(kept.until)},
    State.OPEN: lambda kept: _("utilisation is open: nobody stated its end, so there is no last day of keeping"),
    State.NOT_KNOWN: lambda kept: _("the last day of the paper is not known, or not reached"),
    State.FOR_EVER: lambda kept: _("it is kept for ever"),
    State.DISPOSED: lambda kept: (
        _("it was disposed of on %(day)s") % {"day": _day(timezone.localdate(kept.disposal.disposed_at))}
    ),
}  # fmt: skip


def kept_papers(today: date, keys: Collection[int] | None = None) -> list[Kept]:
    """Papers by reference, with rule and day; keys: only these. Seven queries; where some are past their day, those of
    what still needs them besides, whatever their number."""
    papers = Paper.objects.prefetch_related("statuses", "versions").order_by("reference")
    found = list(papers if keys is None else papers.filter(pk__in=keys))
    rules, known = keeping_rules(), _Known.of(keys)
    kept = [_kept(paper, rules, known, today) for paper in found]
    _hold(kept, today)
    return kept


def kept_paper(paper: Paper, today: date) -> Kept:
    """The same for one paper."""
    return kept_papers(today, [paper.pk])[0]


def asked_paper(text: str) -> Paper | None:
    """The paper of a key that an address names; None where it names none."""
    is_key = text.isascii() and text.isdecimal() and len(text) < _LONGEST_KEY
    return Paper.objects.filter(pk=int(text)).first() if is_key else None


@dataclass(frozen=True)
class _Known:
    """By key of the paper: what title records name, ends of utilisation that stand, disposals."""

    titles: frozenset[int | None]
    ends: Mapping[int, UtilisationEnd]
    disposals: Mapping[int, Disposal]

    @classmethod
    def of(cls, keys: Collection[int] | None) -> _Known:
        of_them = Q() if keys is None else Q(paper__in=keys)
        titles = TitleRecord.objects.filter(of_them, paper__isnull=False).values_list("paper", flat=True)
        ends = UtilisationEnd.objects.filter(of_them, withdrawn_at__isnull=True).select_related("recorded_by")
        disposals = Disposal.objects.filter(of_them).select_related("disposed_by")
        return cls(
            frozenset(titles), {one.paper_id: one for one in ends}, {one.paper_id: one for one in disposals}
        )  # fmt: skip


def kind_of(paper: Paper, *, is_title: bool) -> KeptKind:
    """The sort of record; what keeps it longest first."""
    if is_title or paper.kind in TITLE_KINDS:
        return KeptKind.TITLE
    if paper.kind in ABS_KINDS or Layer.ACCESS in paper.layer_list:
        return KeptKind.ABS
    return KeptKind.OTHER


def _kept(paper: Paper, rules: Mapping[KeptKind, Rule], known: _Known, today: date) -> Kept:
    rule = rules[kind_of(paper, is_title=paper.pk in known.titles)]
    kept = Kept(paper, rule, State.FOR_EVER, disposal=known.disposals.get(paper.pk), end=known.ends.get(paper.pk))
    kept.since = _since(kept, today)
    if rule.years is not None and kept.since is not None:
        kept.until = kept_until(kept.since, rule.years)
    kept.state = _state(kept, today)
    return kept


def _since(kept: Kept, today: date) -> date | None:
    """The day that starts the period; None: it is open, not known, or nothing starts one."""
    if kept.rule.kind is KeptKind.ABS:
        return kept.end.ended_on if kept.end else None
    return _last_day(lifetime(kept.paper, today)) if kept.rule.kind is KeptKind.OTHER else None


def _last_day(life: Lifetime) -> date | None:
    """Of a paper that is over; what was refused has none but the day of the refusal."""
    if life.standing in _NOT_OVER:
        return None
    return life.since if life.standing is Standing.REFUSED else life.last


def _state(kept: Kept, today: date) -> State:
    if kept.disposal is not None:
        return State.DISPOSED
    if kept.rule.years is None:
        return State.FOR_EVER
    if kept.since is None or kept.until is None:
        return State.OPEN if kept.is_abs else State.NOT_KNOWN
    if not may_go(kept.until, today):
        return State.UNTIL
    return State.MAY_GO if kept.rule.is_adopted else State.NOT_ADOPTED


def _hold(kept: Sequence[Kept], today: date) -> None:
    """What is past its day stays as long as something needs it."""
    past = [one for one in kept if one.state in (State.MAY_GO, State.NOT_ADOPTED)]
    if not past:
        return
    holds = holds_of({one.paper.pk: one.end.ended_on if one.end else None for one in past})
    for one in past:
        one.holds = [*holds[one.paper.pk], *_still_in_force(one, today)]
        if one.holds and one.state is State.MAY_GO:
            one.state = State.HELD


def _still_in_force(kept: Kept, today: date) -> list[Hold]:
    if lifetime(kept.paper, today).standing in _NOT_OVER:
        return [Hold(_("the paper itself is not over"))]
    return []
