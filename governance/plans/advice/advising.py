"""All advice for a plan, from one batch of trials."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from governance.engine.tables import Layer
from governance.plans.advice.days import advice_on_days
from governance.plans.advice.home import advice_on_the_way_home, days_in_order
from governance.plans.advice.notices import advice_on_notices
from governance.plans.advice.numbers import advice_on_numbers
from governance.plans.advice.people import advice_on_people
from governance.plans.advice.places import advice_on_places
from governance.plans.advice.reports import advice_on_reports
from governance.plans.advice.saying import Advice, Draft, gathered
from governance.plans.advice.taking import advice_on_groups, advice_on_methods
from governance.plans.advice.trials import Case, Choice, Papers, judged
from governance.plans.advice.unread import unread_papers
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow
from governance.plans.queries.check import CALM, PlanCheck

_KINDS: Sequence[Callable[[Case], Iterator[Choice]]] = (
    advice_on_days, advice_on_people, advice_on_methods, advice_on_places, advice_on_groups, advice_on_the_way_home,
)  # fmt: skip


def advise(check: PlanCheck) -> tuple[Advice, ...]:
    """What could be done before anyone leaves: what is due by a day first, then by layer.

    All that a trial can show is tried with the engine, in one batch (numbers in one more, if any is over a limit), and
    said only if the answer is "covered". Six queries beside those of the check.
    """
    cases = _cases(check)
    drafts = [
        *_tried(check, [choice for case in cases for kind in _KINDS for choice in kind(case)]),
        *advice_on_numbers(cases),
        *(draft for case in cases for draft in unread_papers(case)),
        *days_in_order(check),
        *advice_on_notices(check),
        *advice_on_reports(check),
    ]
    return gathered(drafts, {one.stop.pk: one.stop.name for one in check.loaded.stops})


def _cases(check: PlanCheck) -> list[Case]:
    """Every row on every layer that needs a look."""
    papers = Papers(check)
    return [
        Case(check, cell, answer, papers)
        for cell in check.cells.values()
        if cell.needs_look
        for answer in cell.answers
        if answer.verdict not in CALM and answer.papers
    ]


def _tried(check: PlanCheck, choices: Sequence[Choice]) -> Iterator[Draft]:
    """Of each choice the first proposal that has something to say."""
    answer_of = judged(check, (proposal for choice in choices for proposal in choice))
    for choice in choices:
        said = (proposal.say(_answers(answer_of, proposal.rows, proposal.layer)) for proposal in choice)
        draft = next((draft for draft in said if draft is not None), None)
        if draft is not None and draft.tried:
            yield draft


def _answers(
    answer_of: Callable[[PlannedRow, Layer], Answer], rows: Sequence[PlannedRow], layer: Layer
) -> list[Answer]:
    return [answer_of(row, layer) for row in rows]
