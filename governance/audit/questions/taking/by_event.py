"""What verdicts found by one test of a paper, event by event: of the people, or of the methods.

The findings of an outcome are all that is not yes on the paper that came nearest (the contract of verdicts, section 7):
a test without a finding said yes, or the paper sets no limit to it.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Final

from django.db.models import Count, Prefetch, QuerySet

from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperVersion
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.models import OutcomePaper, RulingLayer, Standing
from governance.verdicts.settling import says_no

VERSION_VAGUE: Final = "version-vague"
UNREAD: Final = "paper-unread"

_FINDINGS: Final = (
    "SELECT outcome_id, code FROM verdicts_outcomefinding WHERE outcome_id {keys} ORDER BY outcome_id, position"
)
_PAPERS: Final = (
    "SELECT outcome_id, paper_id, versions FROM verdicts_outcomepaper WHERE outcome_id {keys} "
    "ORDER BY outcome_id, position"
)


class Said(IntEnum):
    """What a test said, the best first; NO_LIMIT: no paper that was tested limits it."""

    NO_LIMIT = 0
    YES = 1
    REMARK = 2
    UNKNOWN = 3
    NO = 4


@dataclass(frozen=True)
class Asks:
    """One test. codes: of its findings; remarks: those of them that stand on a yes. limiting: versions that limit it;
    prefetch: their terms that do, and limits: whether a version has any. may_remark: whether a yes of it may stand on a
    remark."""

    codes: frozenset[str]
    remarks: frozenset[str]
    limiting: QuerySet[PaperVersion]
    prefetch: Prefetch
    limits: Callable[[PaperVersion], bool]
    may_remark: Callable[[PaperVersion], bool]


@dataclass(frozen=True)
class TestAnswer:
    """What the test said on one layer. code: of the finding, "" for none. papers: those that were tested; versions:
    of them the ones that were held against the day. hides_remark: a yes that may stand on a remark, which verdicts
    keep only where the layer is covered."""

    layer: Layer
    papers: tuple[Paper, ...]
    versions: tuple[PaperVersion, ...]
    said: Said
    code: str
    hides_remark: bool = False

    __test__ = False


@dataclass(frozen=True)
class EventAnswers:
    """Specimens of one event and accession, with what the test said of them."""

    event: int
    accession: int
    accession_number: str
    specimens: int
    answers: tuple[TestAnswer, ...]

    @property
    def worst(self) -> Said:
        return worst_of(self.answers)


def answers_by_event(standings: QuerySet[Standing], asks: Asks) -> list[EventAnswers]:
    """Seven queries, whatever the number of events."""
    columns = ("event_id", "accession_key", "accession_number", "ruling")
    rows = list(standings.values_list(*columns).annotate(n=Count("pk")))
    of_ruling = _answers_of_rulings(standings, asks)
    merged: Counter[tuple[int, int, str, tuple[TestAnswer, ...]]] = Counter()
    for event, accession, number, ruling, count in rows:
        merged[event, accession, number, of_ruling.get(ruling, ())] += count
    return [EventAnswers(event, key, number, n, answers) for (event, key, number, answers), n in merged.items()]


@dataclass(frozen=True)
class PaperAnswers:
    """Of material as a whole: how many specimens each answer is of, and how many fared how at worst."""

    answers: Mapping[TestAnswer, int]
    said: Mapping[Said, int]


def answers_by_paper(standings: QuerySet[Standing], asks: Asks) -> PaperAnswers:
    """One scan of the narrow table by ruling, and six queries."""
    of_ruling = _answers_of_rulings(None, asks)
    answers: Counter[TestAnswer] = Counter()
    said: Counter[Said] = Counter()
    for ruling, count in standings.values_list("ruling").annotate(n=Count("pk")):
        own = of_ruling.get(ruling, ())
        said[worst_of(own)] += count
        for one in own:
            answers[one] += count
    return PaperAnswers(answers, said)


def worst_of(answers: Collection[TestAnswer]) -> Said:
    return max((one.said for one in answers), default=Said.NO_LIMIT)


def _answers_of_rulings(standings: QuerySet[Standing] | None, asks: Asks) -> dict[int, tuple[TestAnswer, ...]]:
    """By ruling the answers of its layers, of papers that limit it; None: of all material. Five queries.

    A layer whose papers set no limit to it has no answer here: of most rulings nothing is read.
    """
    named = OutcomePaper.objects.filter(paper__versions__in=asks.limiting).values("outcome")
    layers = RulingLayer.objects.filter(outcome__in=named).exclude(outcome__verdict=Verdict.NOT_REQUIRED)
    if standings is not None:
        layers = layers.filter(ruling__in=standings.values("ruling"))
    rows = list(layers.order_by("ruling", "layer").values_list("ruling", "layer", "outcome", "outcome__verdict"))
    outcomes = {outcome for _ruling, _layer, outcome, _verdict in rows}
    codes, tested = _codes(outcomes, asks), _tested(outcomes, asks)
    answer_of: dict[int, TestAnswer | None] = {}
    found: dict[int, list[TestAnswer]] = defaultdict(list)
    for ruling, layer, outcome, verdict in rows:
        if outcome not in answer_of:
            made = _answer(Layer(layer), codes[outcome], tested[outcome], asks)
            answer_of[outcome] = made and _with_hidden(made, verdict, asks)
        one = answer_of[outcome]
        if one is not None:
            found[ruling].append(one)
    return {ruling: tuple(answers) for ruling, answers in found.items()}


def _codes(outcomes: Collection[int], asks: Asks) -> dict[int, str]:
    """By outcome the code of this test; a date between versions that differ hides which test it was. One query."""
    wanted = {*asks.codes, VERSION_VAGUE, UNREAD}
    found: dict[int, str] = defaultdict(str)
    for outcome, code in rows_by_keys(_FINDINGS, outcomes) if outcomes else ():
        if code in asks.codes or (code in wanted and not found[outcome]):
            found[outcome] = code
    return found


_Tested = tuple[tuple[Paper, ...], tuple[PaperVersion, ...]]


def _tested(outcomes: Collection[int], asks: Asks) -> dict[int, _Tested]:
    """By outcome its papers, with the versions that were held against the day. Four queries."""
    rows = rows_by_keys(_PAPERS, outcomes) if outcomes else []
    versions = Prefetch("versions", PaperVersion.objects.order_by("pk").prefetch_related(asks.prefetch))
    papers = Paper.objects.filter(pk__in={paper for _outcome, paper, _starts in rows}).prefetch_related(versions)
    paper_of = papers.in_bulk()
    found: dict[int, _Tested] = {}
    for outcome, key, starts in rows:
        before = found.get(outcome, ((), ()))
        paper = paper_of[key]
        days = json.loads(starts) if isinstance(starts, str) else starts
        used = tuple(one for one in paper.versions.all() if _start(one) in days)
        found[outcome] = ((*before[0], paper), (*before[1], *used))
    return found


def _start(version: PaperVersion) -> str | None:
    return version.in_force_from.isoformat() if version.in_force_from else None


def _answer(layer: Layer, code: str, tested: _Tested, asks: Asks) -> TestAnswer | None:
    """None where no version that limits it was tested."""
    papers, versions = tested
    if code == UNREAD or not any(asks.limits(one) for one in versions):
        return None
    if not code:
        said = Said.YES
    elif code in asks.remarks:
        said = Said.REMARK
    else:
        said = Said.NO if says_no(code) else Said.UNKNOWN
    return TestAnswer(layer, papers, versions, said, code)


def _with_hidden(one: TestAnswer, verdict: int, asks: Asks) -> TestAnswer:
    """The answer, told whether it may hide a remark."""
    may = one.said == Said.YES and verdict != Verdict.COVERED and any(asks.may_remark(v) for v in one.versions)
    return replace(one, hides_remark=True) if may else one


def specimens_by_said(groups: Sequence[EventAnswers]) -> Mapping[Said, int]:
    """Specimens by the worst that the test said of them."""
    found: Counter[Said] = Counter()
    for group in groups:
        found[group.worst] += group.specimens
    return found


def only_of(groups: Sequence[EventAnswers], paper: Paper) -> list[EventAnswers]:
    """What one paper was tested for."""
    return [
        EventAnswers(one.event, one.accession, one.accession_number, one.specimens, answers)
        for one in groups
        if (answers := tuple(answer for answer in one.answers if paper in answer.papers))
    ]
