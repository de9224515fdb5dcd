"""All that the page of a request shows, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from governance.engine.uses import Answer, Use
from governance.papers.models import USE_NAMES
from governance.usedesk.models import MadeUse, RequestItem, UseRequest
from governance.usedesk.queries.answering import Facts, answers_by_use, desk_answer
from governance.usedesk.queries.groups import DeskAnswer
from governance.usedesk.queries.one_request import decisions_of, questions_of
from governance.usedesk.queries.shown import Share, ShownGroup, answer_sentence, counts_by_answer, shares, shown_groups


@dataclass(frozen=True)
class UseLine:
    """One use of the request by itself. counts: by word, mildest first."""

    use: Use
    desk: DeskAnswer

    @property
    def name(self) -> Any:
        return USE_NAMES[self.use]

    @property
    def counts(self) -> list[tuple[Answer, int]]:
        return list(self.desk.counts.items())

    @property
    def shares(self) -> list[Share]:
        return shares(self.desk.counts)


@dataclass(frozen=True)
class RequestPage:
    """A request with its answer for one reader. decided: by specimen whether it may go."""

    request: UseRequest
    user: Any
    desk: DeskAnswer
    decided: Mapping[int, bool]
    decisions: Sequence[Any]
    questions: Sequence[tuple[Any, bool]]
    made: Sequence[MadeUse]
    split: Sequence[UseLine] = ()

    @cached_property
    def sentence(self) -> tuple[str, str]:
        return answer_sentence(counts_by_answer(self.desk.groups), self.desk.may_go)

    @cached_property
    def blocks(self) -> list[ShownGroup]:
        """One a word."""
        return list(shown_groups(self.desk.blocks, self.desk, self.user, self.decided))

    @cached_property
    def shares(self) -> list[Share]:
        return shares(self.desk.counts)

    @property
    def total(self) -> int:
        return len(self.desk.ids)

    @property
    def undecided(self) -> int:
        return self.total - len(self.decided)

    @property
    def approved(self) -> int:
        return sum(self.decided.values())


def request_page(request: UseRequest, user: Any, *, is_split: bool = False) -> RequestPage:
    """The page. is_split: with an answer for each use by itself."""
    desk = desk_answer(request)
    split = answers_by_use(desk.ids, Facts.of(request)) if is_split and len(request.use_list) > 1 else {}
    return RequestPage(
        request, user, desk, decided_of(request), decisions_of(request), questions_of(request, user),
        list(MadeUse.objects.filter(request=request, voided_at__isnull=True).order_by("on", "pk")),
        [UseLine(use, answer) for use, answer in split.items()],
    )  # fmt: skip


def decided_of(request: UseRequest) -> dict[int, bool]:
    """By specimen whether it may go, of those that are decided. One query."""
    rows = RequestItem.objects.filter(request=request, decision__isnull=False).order_by()
    return dict(rows.values_list("specimen_id", "decision__is_approved"))
