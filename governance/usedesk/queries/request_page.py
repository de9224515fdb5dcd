"""All that the page of a request shows, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer
from governance.engine.uses import WAY_ANSWERS, Answer, Use, WayCode
from governance.papers.models import LAYER_NAMES, USE_NAMES
from governance.usedesk.deeds import LOANS, USES_OF, Deed
from governance.usedesk.models import MadeUse, RequestItem, UseItem, UseRequest, WayDecision
from governance.usedesk.queries.answering import Facts, answers_by_use
from governance.usedesk.queries.groups import DeskAnswer
from governance.usedesk.queries.in_force_today import Notice, two_days
from governance.usedesk.queries.one_request import decisions_of, questions_of
from governance.usedesk.queries.shown import (
    Share,
    ShownGroup,
    Sign,
    answer_sentence,
    shares,
    shown_groups,
)
from governance.usedesk.queries.way import WayThere
from governance.usedesk.questions import outdated_agreements


@dataclass(frozen=True)
class UseLine:
    """One use of the request by itself. counts: by word, mildest first."""

    use: Use
    desk: DeskAnswer

    @property
    def name(self) -> Any:
        return USE_NAMES[self.use]

    @property
    def counts(self) -> list[int]:
        """Specimens by word, in the order of ``words``."""
        return [self.desk.counts[word] for word in Answer]

    @property
    def shares(self) -> list[Share]:
        return shares(self.desk.counts)


@dataclass(frozen=True)
class WayLine:
    """What is known of one paper of the way there. sources: of rules by which none is needed."""

    layer: Layer
    code: WayCode
    decision: WayDecision | None
    sources: tuple[str, ...]

    @property
    def name(self) -> Any:
        return LAYER_NAMES[self.layer]

    @property
    def sign(self) -> Sign:
        return Sign(WAY_ANSWERS[self.code])

    @property
    def words(self) -> Any:
        return (_CITES_WORDS if self.layer == Layer.CITES else _WAY_WORDS)[self.code]


_TAKING: Final = frozenset({Use.DESTRUCTIVE_SAMPLING, Use.DNA_FOR_IDENTIFICATION, Use.SEQUENCING})
"""Uses for which a part is taken."""

_WAY_WORDS: Final = {
    WayCode.NOT_NEEDED: _("Not needed"),
    WayCode.HELD: _("Held"),
    WayCode.EXCHANGE_LABEL: _("Under the label of a scientific exchange"),
    WayCode.NEEDED: _("Needed first"),
    WayCode.NOT_KNOWN: _("Not known whether it is needed"),
}
_CITES_WORDS: Final = {
    **_WAY_WORDS,
    WayCode.NEEDED: _("Needed first, where a species is listed"),
}


def way_lines(there: WayThere) -> Iterator[WayLine]:
    """The papers of the way there, in their order."""
    if there.way is None:
        return
    codes = {Layer.EXPORT: there.way.export, Layer.IMPORT: there.way.import_, Layer.CITES: there.way.cites}
    for layer, code in codes.items():
        yield WayLine(layer, code, (there.decided or {}).get(layer), (there.rules or {}).get(layer, ()))


@dataclass(frozen=True)
class RequestPage:
    """A request with its answer for one reader. decided: by specimen whether it may go. outdated: keys of questions
    whose agreement was to other facts. today: where the terms in force today answer otherwise, of what may still go."""

    request: UseRequest
    user: Any
    desk: DeskAnswer
    decided: Mapping[int, bool]
    decisions: Sequence[Any]
    questions: Sequence[tuple[Any, bool]]
    made: Sequence[MadeUse]
    split: Sequence[UseLine] = ()
    outdated: frozenset[int] = frozenset()
    today: Notice | None = None

    @cached_property
    def sentence(self) -> tuple[str, str]:
        return answer_sentence(self.desk.counts_by_answer, self.desk.may_go)

    @cached_property
    def blocks(self) -> list[ShownGroup]:
        """One a word."""
        return list(shown_groups(self.desk.blocks, self.desk, self.user, self.decided))

    @cached_property
    def shares(self) -> list[Share]:
        return shares(self.desk.counts)

    @cached_property
    def way(self) -> list[WayLine]:
        """The papers of the way there; none where nothing crosses a border."""
        return list(way_lines(self.desk.way))

    @property
    def total(self) -> int:
        return len(self.desk.ids)

    @property
    def heading(self) -> str:
        """ "400 specimens, six answers" in numbers."""
        answers = len(self.shares)
        specimens = ngettext("%(n)s specimen", "%(n)s specimens", self.total) % {"n": intcomma(self.total)}
        return ngettext("%(specimens)s, %(n)d answer", "%(specimens)s, %(n)d answers", answers) % {
            "specimens": specimens, "n": answers,
        }  # fmt: skip

    @property
    def takes(self) -> bool:
        """Whether specimens, decisions and questions can still be added."""
        return self.request.closed_at is None and self.request.answered_at is None

    @property
    def asks_for_parts(self) -> bool:
        """Whether something is taken off the material, so that it matters what."""
        return not _TAKING.isdisjoint(self.request.use_list)

    @property
    def open_to_approve(self) -> int:
        """Specimens that may go as asked and of which nobody decided."""
        return sum(1 for block in self.desk.blocks if block.may_go for pk in block.ids if pk not in self.decided)

    @property
    def words(self) -> list[Sign]:
        """All answers, mildest first."""
        return [Sign(word) for word in Answer]

    @property
    def undecided(self) -> int:
        return self.total - len(self.decided)

    @property
    def approved(self) -> int:
        return sum(self.decided.values())

    @cached_property
    def to_lend(self) -> int:
        """Specimens that may go and are in no loan made by this request; none where no loan is asked for. A query only
        where something was made."""
        if set(USES_OF[Deed.LOAN]).isdisjoint(self.request.use_list):
            return 0
        if not self.made:
            return self.approved
        lent = UseItem.objects.filter(use__in=[one.pk for one in self.made if one.deed in LOANS])
        out = set(lent.values_list("specimen_id", flat=True))
        return sum(1 for pk, may_go in self.decided.items() if may_go and pk not in out)

    @property
    def next_deed(self) -> tuple[str, Any] | None:
        """What is recorded once something may go: the deed of the first use that has no entry yet, and its name."""
        made = {one.deed for one in self.made}
        deeds = (Deed(deed) for use in self.request.use_list for deed, uses in USES_OF.items() if use in uses)
        found = next((deed for deed in deeds if deed not in made), None)
        return (found.value, found.label) if found and self.approved else None


def request_page(request: UseRequest, user: Any, *, is_split: bool = False) -> RequestPage:
    """The page. is_split: with an answer for each use by itself."""
    days = two_days(request)
    desk = days.asked
    split = answers_by_use(desk.ids, Facts.of(request)) if is_split and len(request.use_list) > 1 else {}
    questions, decided = questions_of(request, user), decided_of(request)
    return RequestPage(
        request, user, desk, decided, decisions_of(request), questions,
        list(MadeUse.objects.filter(request=request, voided_at__isnull=True).order_by("on", "pk")),
        [UseLine(use, answer) for use, answer in split.items()],
        outdated_agreements(question for question, _is_readable in questions),
        days.notice_of([pk for pk in desk.ids if decided.get(pk, True)]) if request.is_open else None,
    )  # fmt: skip


def decided_of(request: UseRequest) -> dict[int, bool]:
    """By specimen whether it may go, of those that are decided. One query."""
    rows = RequestItem.objects.filter(request=request, decision__isnull=False).order_by()
    return dict(rows.values_list("specimen_id", "decision__is_approved"))
