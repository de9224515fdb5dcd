"""What may be done with material: the register asked, and answered by ``governance.engine.uses.answer`` alone."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from copy import copy
from dataclasses import replace
from datetime import date
from itertools import chain

import numpy as np
from django.utils.translation import gettext as _

from accessions.material.models import Accession
from governance.engine.uses import (
    DATA_USES,
    Answers,
    Case,
    Ownership,
    PaperTerms,
    Question,
    Replied,
    Said,
    Term,
    Use,
    VersionTerms,
    answer,
)
from governance.papers.queries.terms import engine_terms
from governance.usedesk.models import RequestItem, UseRequest
from governance.usedesk.queries.groups import DEPOSIT_KIND, DeskAnswer, Group
from governance.usedesk.queries.holding import Held, held
from governance.usedesk.queries.late import Settled, not_covered, settled_at, way_of
from governance.usedesk.queries.limits import used_before
from governance.usedesk.queries.listed import NOT_ASKED, ListedNames, listed_on
from governance.usedesk.queries.way import WayThere, way_there
from governance.usedesk.questions import Facts, by_row, policy, replies

__all__ = [
    "DeskAnswer",
    "Facts",
    "Group",
    "answers_by_use",
    "answers_for",
    "answers_in_basket",
    "answers_in_turn",
    "answers_of_two_days",
    "derived_answer",
    "desk_answer",
    "one_answer",
]


def desk_answer(request: UseRequest, *, day: date | None = None) -> DeskAnswer:
    """The answer for all specimens of a request, in the order in which they came into the basket.

    Args:
        day: whose terms decide; None: the day on which it was asked.
    """
    items = RequestItem.objects.filter(request=request).order_by("pk").values_list("specimen_id", flat=True)
    return answers_for(list(items), Facts.of(request, day))


def answers_of_two_days(request: UseRequest, other: date) -> tuple[DeskAnswer, DeskAnswer]:
    """The answer of the day on which a request was asked, and that of another day; the register is read once.

    The same object twice where it is one day.
    """
    items = RequestItem.objects.filter(request=request).order_by("pk").values_list("specimen_id", flat=True)
    facts = Facts.of(request)
    found = _Found(list(items), facts, ())
    own = found.answer(facts)
    return own, own if other == facts.day else found.answer_on(other, facts)


def answers_for(ids: Sequence[int], facts: Facts) -> DeskAnswer:
    """The answer for specimens by their keys, each once. About thirty queries, however many specimens are asked for.

    Raises:
        NoSuchSpecimenError: one of the keys is no specimen.
        EngineError: no use is asked for.
    """
    return _answers(list(dict.fromkeys(ids)), facts, beside=())


def one_answer(facts: Facts, specimen: int, basket: Sequence[int] | None = None) -> DeskAnswer:
    """The answer for one specimen, as it would stand in the basket of the request that ``facts`` name: for scanning.

    A few milliseconds, whatever the basket holds: others in it count only where a clause limits how many may go.

    Args:
        basket: keys of the others in the basket, if the caller has them; None: those of the request.
    """
    if basket is None and facts.request is not None:
        rows = RequestItem.objects.filter(request=facts.request).exclude(specimen=specimen)
        basket = list(rows.order_by().values_list("specimen_id", flat=True))
    return _answers([specimen], facts, beside=[pk for pk in basket or () if pk != specimen])


def answers_in_basket(facts: Facts, specimens: Sequence[int]) -> DeskAnswer:
    """The same for some specimens of a basket, such as the last that were scanned, each as it stands in all of it."""
    rows = RequestItem.objects.filter(request=facts.request).exclude(specimen__in=specimens)
    beside = rows.order_by().values_list("specimen_id", flat=True)  # read only where a clause limits how many may go
    return _answers(list(dict.fromkeys(specimens)), facts, beside)


def derived_answer(ids: Sequence[int], facts: Facts) -> DeskAnswer:
    """The answer for what was derived from specimens, a sequence or an image: the clauses on data alone bear on it.

    Where none of the uses is one of data, all of these are asked for, which is the strict side.
    """
    uses = tuple(use for use in facts.uses if use in DATA_USES) or tuple(use for use in Use if use in DATA_USES)
    return answers_for(ids, replace(facts, uses=uses))


def answers_by_use(ids: Sequence[int], facts: Facts) -> dict[Use, DeskAnswer]:
    """The answer for each of the uses alone, which together may be stricter than each."""
    found = _Found(list(dict.fromkeys(ids)), facts, ())
    return {use: found.answer(replace(facts, uses=(use,))) for use in facts.uses}


def answers_in_turn(ids: Sequence[int], questions: Sequence[Facts], way: WayThere) -> list[DeskAnswer]:
    """Answers to several questions about the same specimens on one day, with a way there that is told."""
    uses = tuple(dict.fromkeys(use for facts in questions for use in facts.uses))
    found = _Found(list(dict.fromkeys(ids)), replace(questions[0], uses=uses), (), way)
    return [found.answer(facts, way) for facts in questions]


def _answers(ids: list[int], facts: Facts, beside: Iterable[int]) -> DeskAnswer:
    return _Found(ids, facts, beside).answer(facts)


class _Found:
    """What the register holds of some specimens and of the papers that bear on them, read once for all questions."""

    def __init__(
        self, ids: list[int], facts: Facts, beside: Iterable[int], way: WayThere | None = None
    ) -> None:  # fmt: skip
        """beside: others in the same basket. way: if it is told; None: as the facts have it."""
        self._ids, self._beside = ids, beside
        self._way = way or way_there(facts.uses, facts.country, facts.day, facts.request, facts.seat)
        self._material = held(ids, _listed(self._way, facts.day))
        self._papers, self._version_keys = _papers(self._material, facts.uses)
        self._policy, self._replies = policy(), replies(facts.request)
        self._uses = facts.uses

    def answer(self, facts: Facts, way: WayThere | None = None) -> DeskAnswer:
        """For these uses, which are some of those that were read for. way: if it is told."""
        if way is None:
            is_whole = facts.uses == self._uses
            way = self._way if is_whole else way_there(facts.uses, facts.country, facts.day, facts.request, facts.seat)
        settled = settled_at(facts.request, way, is_agreed=Replied.AGREED in self._replies.values())
        cohorts = not_covered(self._ids, self._material.rows, facts.request, settled)
        told = [(some, self._answers(some, facts, way, late)) for late, some in cohorts.items()]
        return DeskAnswer(
            ids=self._ids, facts=facts, answers=told[0][1] if len(told) == 1 else _joined(self._ids, told),
            keys=self._material.papers, references=[paper.reference for paper in self._papers],
            version_keys=self._version_keys, way=way, late=sum(len(some) for late, some in cohorts.items() if late),
        )  # fmt: skip

    def _answers(self, ids: Sequence[int], facts: Facts, way: WayThere, late: Collection[Settled]) -> Answers:
        """For some of the specimens, for which what is ``late`` was not settled."""
        keys, holding = self._material.papers, self._material.holding
        replied = replies(facts.request, late) if late else self._replies
        others: Iterable[int] = self._beside
        if len(ids) < len(self._ids):
            row_of = {pk: row for pk, row in zip(self._ids, holding.asked.tolist(), strict=True)}
            holding = replace(holding, asked=np.array([row_of[pk] for pk in ids], np.int32))
            others = chain(self._beside, set(self._ids) - set(ids))
        question = Question(
            facts.asked(), self._policy, way_of(way, late),
            by_row(replied, {key: row for row, key in enumerate(keys)}),
            used_before(self._papers, keys, facts, ids, others),
        )  # fmt: skip
        return answer(self._papers, holding, question)

    def answer_on(self, day: date, facts: Facts) -> DeskAnswer:
        """By the terms, the way there and the listings of another day: a few queries, for what the day changes."""
        told = replace(facts, day=day)
        way = way_there(told.uses, told.country, day, told.request, told.seat)
        other = copy(self)
        other._material = self._material.with_listed(_listed(way, day))
        return other.answer(told, way)


def _joined(ids: Sequence[int], told: Sequence[tuple[Sequence[int], Answers]]) -> Answers:
    """Answers to some of the specimens each, as answers to all, in their order."""
    number: dict[Case, int] = {}
    case_of: dict[int, int] = {}
    for some, answers in told:
        rows = [number.setdefault(case, len(number)) for case in answers.cases]
        case_of |= {pk: rows[row] for pk, row in zip(some, answers.case.tolist(), strict=True)}
    return Answers(np.array([case_of[pk] for pk in ids], np.int32), tuple(number))


def _listed(way: WayThere, day: date) -> ListedNames:
    return NOT_ASKED if way.way is None else listed_on(day)


def _papers(material: Held, uses: Sequence[Use]) -> tuple[list[PaperTerms], list[Sequence[int]]]:
    """The terms of all papers that bear, and of deposits without a paper; keys of the versions of each."""
    on_file = engine_terms([key for key in material.papers if key > 0], uses)
    accessions = Accession.objects.in_bulk(list(set(material.deposits.accession_of.values())))
    papers: list[PaperTerms] = []
    versions: list[Sequence[int]] = []
    for key in material.papers:
        if key > 0:
            row = on_file.row_of[key]
            papers.append(_deposited(on_file.papers[row]) if key in material.deposits.papers else on_file.papers[row])
            versions.append(on_file.versions[row])
        else:
            papers.append(_nameless(accessions[material.deposits.accession_of[key]]))
            versions.append(())
    return papers, versions


def _deposited(paper: PaperTerms) -> PaperTerms:
    """A paper by which material was deposited: title lies elsewhere, also where its terms do not say so."""
    versions = (
        replace(one, ownership=Ownership.DEPOSIT) if one.ownership == Ownership.NOT_SAID else one
        for one in paper.versions
    )
    return replace(paper, versions=tuple(versions))


def _nameless(accession: Accession) -> PaperTerms:
    """A deposit of which no paper is on file: title lies elsewhere, and it is silent on every use."""
    reference = _("deposit of %(accession)s, no paper on file") % {"accession": accession.number}
    silent = VersionTerms(None, {use: Term(Said.SILENT) for use in Use}, Ownership.DEPOSIT)
    return PaperTerms(reference, DEPOSIT_KIND, (silent,))
