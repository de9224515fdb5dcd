"""Numbers over the limit of a paper: how many would still fit, tried for all groups at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from accessions.intake.specimens import SpecimenTable
from governance.engine.tables import UNBOUNDED, Verdict
from governance.papers.measures import quantity
from governance.plans.advice.saying import STOPS, Deed, Draft, papers_words
from governance.plans.advice.trials import Case
from governance.plans.planned_rows import PlannedRow, columns_of
from governance.verdicts.material import material_of

_CODES = ("cap-breached", "cap-possible")
Group = tuple[int, int | None]
"""A stop and a target group, which share one expected number."""


@dataclass(frozen=True)
class _Over:
    """A group over a limit: how many at most are expected, and by how many it is over. None: no bound."""

    case: Case
    group: Group
    expected: int | None
    over: int | None
    limit: int


def advice_on_numbers(cases: Sequence[Case]) -> Iterator[Draft]:
    """For all groups that would be over a limit: numbers that the engine lets pass when all of them are taken together.

    One more batch, since what is expected of one group counts for the others. Groups that keep their number stand
    beside it as planned.
    """
    overs = [over for case in cases if (over := _over(case))]
    if not overs:
        return
    fitting = _fitting(overs)
    check = overs[0].case.check
    planned = [row for row in check.rows if (row.stop, row.target) in fitting]
    rows = [replace(row, expected=fitting[row.stop, row.target]) for row in planned]
    layers = sorted({over.case.layer for over in overs})
    answers = check.bench.judge(rows, layers)
    covered = {
        (old, layer): answer.verdict == Verdict.COVERED
        for old, of_row in zip(planned, answers, strict=True)
        for layer, answer in zip(layers, of_row, strict=True)
    }
    for over in overs:
        if covered[over.case.row, over.case.layer]:
            yield _say(over, fitting[over.group])


def _over(case: Case) -> _Over | None:
    found = next((f for f, _text in case.answer.findings if f.code in _CODES), None)
    if found is None or found.against is None or not case.fails_only_by(_CODES):
        return None
    expected, counted = _expected(case.row), int(found.measure or 0)
    limit = int(found.against)
    is_open = found.measure is None or counted >= UNBOUNDED or expected is None
    by = None if is_open else counted - limit
    if found.code == "cap-breached":
        by = expected
    return _Over(case, (case.row.stop, case.row.target), expected, by, limit)


def _expected(row: PlannedRow) -> int | None:
    """The most that is expected, as the reader of specimens reads it; None where there is no bound."""
    rows = [replace(row, counts=True)]
    material = material_of(SpecimenTable("plan", 1, columns_of(rows), range(1, 2)))
    high = int(material.specimens.count_high[0])
    return None if high >= UNBOUNDED else high


def _fitting(overs: Sequence[_Over]) -> dict[Group, str]:
    """Numbers to try, by group: in the order of days each is lowered by what is still over."""
    lowered: dict[int, int] = defaultdict(int)
    found: dict[Group, str] = {}
    for over in sorted(overs, key=lambda over: (over.case.row.first_on or date.max, over.group[0], over.group[1] or 0)):
        if over.group in found:
            continue
        if over.expected is None or over.over is None:
            found[over.group] = "1"
            continue
        paper = over.case.answer.papers[0].pk if over.case.answer.papers else 0
        by = min(max(over.over - lowered[paper], 0), over.expected)
        lowered[paper] += by
        found[over.group] = str(over.expected - by)
    return found


def _say(over: _Over, fits: str) -> Draft:
    told = {
        "group": over.case.row.name or _("what is taken"), "stops": STOPS, "fits": fits,
        "papers": papers_words(over.case.answer.papers), "limit": quantity(over.limit, "individuals"),
    }  # fmt: skip
    if over.expected is None:
        words = (
            _(
                "Enter how many of %(group)s are expected at %(stops)s: without a number it cannot be told whether the "
                "limit of %(papers)s (%(limit)s) holds."
            )
            % told
        )
    else:
        words = _(
            "At most %(fits)s of %(group)s at %(stops)s would stay within the limit of %(papers)s (%(limit)s, with "
            "what counts already); %(expected)s are expected."
        ) % {**told, "expected": over.case.row.expected}  # fmt: skip
    deed = Deed("stop", over.case.row.stop)
    return Draft("number", words, over.case.row.stop, over.case.layer, over.case.answer.papers, deed=deed)
