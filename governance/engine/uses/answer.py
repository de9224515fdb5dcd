"""May these specimens be used so? The strictest over the papers, the footing, the way there, and all they come from.

Inheritance: what was taken from a specimen, or pooled of several, has all papers and verdicts of these, and of what
these come from (``inherited``).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

import numpy as np

from governance.engine.tables import NONE, EngineError, Verdict
from governance.engine.uses.clauses import Pair
from governance.engine.uses.counted import Bounds, specimens_under
from governance.engine.uses.findings import UNHEARD, verdict_code
from governance.engine.uses.inherited import Inherited, Key
from governance.engine.uses.kinds import (
    LEAVES,
    MAY_GO,
    NO_PAPER,
    NOT_HEARD,
    TRAVELS,
    Answer,
    Listed,
    Tri,
    Use,
    WayCode,
)
from governance.engine.uses.tables import (
    CAREFUL_GATE,
    UNKNOWN_WAY,
    WAY_ANSWERS,
    Answers,
    Asked,
    Case,
    Finding,
    Gate,
    Holding,
    PaperTerms,
    Question,
    Way,
)

__all__ = ["Question", "answer", "may_go"]


def answer(papers: Sequence[PaperTerms], holding: Holding, question: Question) -> Answers:
    """Answer for every specimen that is asked for.

    Args:
        papers: into which ``Holding.sets`` points.
        holding: the material, shape (n_rows,); n_asked of it are answered for.
        question: the uses, all of which must be allowed together, and the house rules.

    Returns:
        A case a specimen, int32, shape (n_asked,); none is missing: what is not known is ``NOT_KNOWN``.

    Raises:
        EngineError: a set, a reply or a number of earlier uses speaks of a paper that is not among the papers.

    Source: Nagoya Protocol, Art. 6(3)(g)(iii) and (iv): terms on third parties and on a change of intent; CITES, Art.
    VII(6): no label for commercial use. The order of answers and their inheritance: common practice, no source.

    >>> from governance.engine.uses.tables import holding_of
    >>> loan = Question((Asked(Use.LOAN_AT_HOME, day=738000),))
    >>> case, = answer([PaperTerms("A", "other")], holding_of([frozenset({0})], [0]), loan).cases
    >>> case.answer.code, case.findings[0].code
    ('not-known', 'paper-unread')
    >>> answer([], holding_of([], []), loan).cases
    ()
    """
    _check_rows(papers, holding, question)
    inherited = Inherited(holding)
    found, case = np.unique(inherited.of_row[holding.asked], return_inverse=True)
    said = _Said(papers, question, specimens_under(inherited, holding.asked, _with_limits(papers)))
    cases = tuple(said.case(inherited.keys[row]) for row in found.tolist())
    return Answers(case.astype(np.int32).reshape(-1), cases)


def _check_rows(papers: Sequence[PaperTerms], holding: Holding, question: Question) -> None:
    """A row that points to the wrong paper, or to none, would leave a refusal unheard."""
    named = frozenset[int]().union(*holding.sets)
    named |= {row for row, _ in (*question.replies, *question.used_before)}
    strangers = sorted(row for row in named if not 0 <= row < len(papers))
    if strangers:
        raise EngineError(f"there are {len(papers)} papers, counted from 0, and none in row {strangers[0]}")


def _with_limits(papers: Sequence[PaperTerms]) -> frozenset[int]:
    """Rows of papers of which some clause names a number: the others need no counting."""
    terms = [(row, term) for row, paper in enumerate(papers) for v in paper.versions for term in v.terms.values()]
    return frozenset(row for row, term in terms if term.most_specimens is not None)


def told(uses: Sequence[Asked]) -> list[Asked]:
    """The uses, with what one of them tells of all: commercial use is commercial."""
    if any(asked.use == Use.COMMERCIAL_USE for asked in uses):
        return [replace(asked, commercial=Tri.YES) for asked in uses]
    return list(uses)


class _Said:
    """What each paper says to each use, asked once, and the cases made of it."""

    def __init__(self, papers: Sequence[PaperTerms], question: Question, counts: Mapping[int, Bounds]) -> None:
        self._papers, self._question, self._counts = papers, question, counts
        self._uses = told(question.uses)
        self._pairs: dict[tuple[int, int], tuple[Finding, ...]] = {}

    def case(self, key: Key) -> Case:
        found: list[Finding] = []
        for number, asked in enumerate(self._uses):
            found += self._of_papers(number, asked, key)
            found += _of_footing(asked.use, self._question.policy.gate(asked.use), key.verdicts)
            found += _of_way(asked, self._question.way, Listed(key.listed))
        found = sorted(set(found), key=_strictest_first)
        return Case(found[0].answer, tuple(found))

    def _of_papers(self, number: int, asked: Asked, key: Key) -> list[Finding]:
        """What the papers say; and how the house reads it, where of a part of the material no paper is heard."""
        found = [finding for paper in sorted(key.papers) for finding in self._pair(number, asked, paper)]
        if all(any(self._is_heard(number, asked, paper) for paper in base) for base in key.bases):
            return found
        reading = self._question.policy.silence.reading(asked.use, NO_PAPER)
        unheard = Answer.SILENT if reading == NOT_HEARD else Answer(reading)
        return [*found, Finding(unheard, "no-terms", asked.use, is_silent=True)]

    def _is_heard(self, number: int, asked: Asked, paper: int) -> bool:
        return UNHEARD.isdisjoint(finding.code for finding in self._pair(number, asked, paper))

    def _pair(self, number: int, asked: Asked, paper: int) -> tuple[Finding, ...]:
        if (number, paper) not in self._pairs:
            place, question = (paper, asked.use), self._question
            before = question.used_before.get(place, 0)
            least, most = (before + now for now in self._counts.get(paper, (0, 0)))
            pair = Pair(
                paper, self._papers[paper], asked, question.policy.silence, least, question.replies.get(place), most
            )
            self._pairs[number, paper] = pair.findings()
        return self._pairs[number, paper]


def _strictest_first(finding: Finding) -> tuple[int, bool, int, int, int, str, int, int]:
    """Of equal answers what is said before what is silent, then by use and paper: the order is the same every time."""
    return (
        -finding.answer, finding.is_silent, finding.use, finding.paper, finding.version, finding.code,
        finding.measure, finding.against,
    )  # fmt: skip


def _of_footing(use: Use, gate: Gate, verdicts: Collection[int]) -> list[Finding]:
    from_verdicts = [(_through(gate, verdict), verdict) for verdict in sorted(verdicts)]
    return [Finding(told, verdict_code(v), use, measure=v) for told, v in from_verdicts if told > Answer.ALLOWED]


def _through(gate: Gate, verdict: int) -> Answer:
    """A verdict of which the house rule says nothing is taken carefully."""
    key = None if verdict == NONE else Verdict(verdict)
    return gate.get(key, CAREFUL_GATE.get(key, Answer.ALLOWED))


def _of_way(asked: Asked, way: Way | None, listed: Listed) -> list[Finding]:
    """Papers of the way there. Whether a species is listed, where that is not known, matters until somebody decided."""
    way = _way_of(asked, way)
    if way is None:
        return []
    found = [_on_way(asked.use, "export", way.export), _on_way(asked.use, "import", way.import_)]
    if listed != Listed.NO:
        found.append(_on_way(asked.use, "cites", _of_cites(asked, way.cites, listed)))
    return [finding for finding in found if finding.answer > Answer.ALLOWED]


def _way_of(asked: Asked, way: Way | None) -> Way | None:
    """None: the material crosses no border by this use. A loan abroad does, whatever else is told."""
    if asked.use not in TRAVELS:
        return None
    is_untold = asked.use == Use.LOAN_ABROAD or (asked.use in LEAVES and not asked.country)
    return UNKNOWN_WAY if way is None and is_untold else way


def _of_cites(asked: Asked, code: WayCode, listed: Listed) -> WayCode:
    if code == WayCode.EXCHANGE_LABEL and asked.commercial != Tri.NO:
        code = WayCode.NEEDED if asked.commercial == Tri.YES else WayCode.NOT_KNOWN
    is_open = code == WayCode.NEEDED and listed == Listed.UNKNOWN
    return WayCode.NOT_KNOWN if is_open else code


def _on_way(use: Use, what: str, code: WayCode) -> Finding:
    return Finding(WAY_ANSWERS[code], f"{what}-{code.code}", use)


def may_go(answers: Answers) -> int:
    """How many specimens may go as asked, with or without duties.

    >>> may_go(Answers(np.zeros(0, np.int32), ()))
    0
    """
    counts = np.bincount(answers.case, minlength=len(answers.cases)).tolist()
    return sum(count for count, case in zip(counts, answers.cases, strict=True) if case.answer in MAY_GO)
