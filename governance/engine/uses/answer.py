"""May these specimens be used so? The strictest over the papers, the footing, the way there, and all they come from.

Distinct cases first (the papers that bear, the verdicts, whether listed), then one gather per specimen. Inheritance: what
was taken from a specimen, or pooled of several, has all papers and verdicts of these, and of what these come from.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from governance.engine.tables import NONE, EngineError, IntColumn
from governance.engine.uses.clauses import Pair
from governance.engine.uses.findings import verdict_code
from governance.engine.uses.tables import (
    MAY_GO,
    NO_PAPER,
    NOT_HEARD,
    TRAVELS,
    WAY_ANSWERS,
    Answer,
    Answers,
    Asked,
    Case,
    Finding,
    Gate,
    Holding,
    Listed,
    PaperTerms,
    Policy,
    Replied,
    Use,
    Way,
    WayCode,
)

Key = tuple[frozenset[int], frozenset[int], int]
"""What decides: the papers that bear, the verdicts, the strictest of ``Listed``."""


@dataclass(frozen=True)
class Question:
    """What is asked of the material. way: None where nothing crosses a border. replies: by (row of the paper, use).

    used_before: by (row of the paper, use), how many specimens of it were so used before.
    """

    uses: Sequence[Asked]
    policy: Policy = Policy()
    way: Way | None = None
    replies: Mapping[tuple[int, Use], Replied] = field(default_factory=dict)
    used_before: Mapping[tuple[int, Use], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.uses:
            raise EngineError("nothing is asked: name at least one use")


def answer(papers: Sequence[PaperTerms], holding: Holding, question: Question) -> Answers:
    """Answer for every specimen that is asked for.

    Args:
        papers: into which ``Holding.sets`` points.
        holding: the material, shape (n_rows,); n_asked of it are answered for.
        question: the uses, all of which must be allowed together, and the house rules.

    Returns:
        A case a specimen, int32, shape (n_asked,); none is missing: what is not known is ``NOT_KNOWN``.

    Source: Nagoya Protocol, Art. 6(3)(g)(iii) and (iv): terms on third parties and on a change of intent. The order of
    answers and their inheritance: common practice, no source.
    """
    keys, row_of = _distinct(holding)
    asked, case = np.unique(row_of[holding.asked], return_inverse=True)
    counts = _specimens_under(keys, row_of[holding.asked])
    said = _Said(papers, question, counts)
    cases = tuple(said.case(keys[row]) for row in asked.tolist())
    return Answers(case.astype(np.int32).reshape(-1), cases)


def _distinct(holding: Holding) -> tuple[list[Key], IntColumn]:
    """The distinct cases, and for each row the one that it is; sources taken in."""
    own = np.stack([holding.papers, holding.verdict, holding.listed.astype(np.int32)], axis=1)
    found, column = np.unique(own.reshape(-1, 3), axis=0, return_inverse=True)
    keys: list[Key] = [(holding.sets[p], frozenset({v}), listed) for p, v, listed in found.tolist()]
    column = column.reshape(-1).astype(np.int32)
    number_of = {key: row for row, key in reversed(list(enumerate(keys)))}
    inherited = _Inherited(keys, column, holding.sources.reshape(-1, 2))
    for row in inherited.rows():
        key = inherited.key(row)
        if key not in number_of:
            number_of[key] = len(keys)
            keys.append(key)
        column[row] = number_of[key]
    return keys, column


class _Inherited:
    """Rows that come from others, with all that those have."""

    def __init__(self, keys: Sequence[Key], column: IntColumn, sources: IntColumn) -> None:
        self._own = [keys[row] for row in column.tolist()] if len(sources) else []
        self._sources: dict[int, list[int]] = defaultdict(list)
        for row, source in sources.tolist():
            self._sources[row].append(source)

    def rows(self) -> Iterable[int]:
        return self._sources.keys()

    def key(self, row: int) -> Key:
        """By a walk over all that the row comes from; a circle in the records is walked once."""
        reached, waiting = {row}, [row]
        while waiting:
            for source in self._sources.get(waiting.pop(), ()):
                if source not in reached:
                    reached.add(source)
                    waiting.append(source)
        return _joined(self._own[one] for one in reached)


def _joined(keys: Iterable[Key]) -> Key:
    papers, verdicts, listed = zip(*keys, strict=True)
    return frozenset().union(*papers), frozenset().union(*verdicts), max(listed)


def _specimens_under(keys: Sequence[Key], asked: IntColumn) -> Mapping[int, int]:
    """By row of a paper, how many of the specimens that are asked for it bears on."""
    counts: dict[int, int] = defaultdict(int)
    for row, count in zip(*map(np.ndarray.tolist, np.unique(asked, return_counts=True)), strict=True):
        for paper in keys[row][0]:
            counts[paper] += count
    return counts


class _Said:
    """What each paper says to each use, asked once, and the cases made of it."""

    def __init__(self, papers: Sequence[PaperTerms], question: Question, counts: Mapping[int, int]) -> None:
        self._papers, self._question, self._counts = papers, question, counts
        self._pairs: dict[tuple[int, int], tuple[Finding, ...]] = {}

    def case(self, key: Key) -> Case:
        papers, verdicts, listed = key
        found: list[Finding] = []
        for number, asked in enumerate(self._question.uses):
            found += self._of_papers(number, asked, papers)
            found += _of_footing(asked.use, self._question.policy.gate(asked.use), verdicts)
            if self._question.way is not None and asked.use in TRAVELS:
                found += _of_way(asked.use, self._question.way, Listed(listed))
        found = sorted(set(found), key=_strictest_first)
        return Case(found[0].answer, tuple(found))

    def _of_papers(self, number: int, asked: Asked, papers: frozenset[int]) -> list[Finding]:
        found = [finding for paper in sorted(papers) for finding in self._pair(number, asked, paper)]
        if any(finding.code != "not-heard" for finding in found):
            return found
        reading = self._question.policy.silence.reading(asked.use, NO_PAPER)
        unheard = Answer.SILENT if reading == NOT_HEARD else Answer(reading)
        return [*found, Finding(unheard, "no-terms", asked.use, is_silent=True)]

    def _pair(self, number: int, asked: Asked, paper: int) -> tuple[Finding, ...]:
        if (number, paper) not in self._pairs:
            place, question = (paper, asked.use), self._question
            specimens = self._counts.get(paper, 0) + question.used_before.get(place, 0)
            pair = Pair(
                paper, self._papers[paper], asked, question.policy.silence, specimens, question.replies.get(place)
            )
            self._pairs[number, paper] = pair.findings()
        return self._pairs[number, paper]


def _strictest_first(finding: Finding) -> tuple[int, bool, int, int, int, str, int]:
    """Of equal answers what is said before what is silent, then by use and paper, so that the order is the same again."""
    return (
        -finding.answer, finding.is_silent, finding.use, finding.paper, finding.version, finding.code, finding.measure
    )  # fmt: skip


def _of_footing(use: Use, gate: Gate, verdicts: frozenset[int]) -> list[Finding]:
    from_verdicts = [(gate.get(None if v == NONE else v, Answer.ALLOWED), v) for v in sorted(verdicts)]  # type: ignore[call-overload]
    return [Finding(told, verdict_code(v), use, measure=v) for told, v in from_verdicts if told > Answer.ALLOWED]


def _of_way(use: Use, way: Way, listed: Listed) -> list[Finding]:
    """Papers of the way there. Whether a species is listed, where that is not known, matters until somebody decided."""
    found = [_on_way(use, "export", way.export), _on_way(use, "import", way.import_)]
    if listed == Listed.YES:
        found.append(_on_way(use, "cites", way.cites))
    elif listed == Listed.UNKNOWN:
        is_decided = way.cites in (WayCode.NOT_NEEDED, WayCode.HELD, WayCode.EXCHANGE_LABEL)
        found.append(_on_way(use, "cites", way.cites if is_decided else WayCode.NOT_KNOWN))
    return [finding for finding in found if finding.answer > Answer.ALLOWED]


def _on_way(use: Use, what: str, code: WayCode) -> Finding:
    return Finding(WAY_ANSWERS[code], f"{what}-{code.code}", use)


def may_go(answers: Answers) -> int:
    """How many specimens may go as asked, with or without duties.

    >>> may_go(Answers(np.zeros(0, np.int32), ()))
    0
    """
    return sum(told in MAY_GO for told in answers.answers())
