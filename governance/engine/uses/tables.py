"""What papers say of the use of material, what is asked, and the answers: frozen values that go in and come out.

Days are proleptic ordinals, as in ``governance.engine.tables``. The words are those of ``kinds``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

import numpy as np

from governance.engine.tables import NONE, BoolColumn, ByteColumn, EngineError, IntColumn, Layer, LongColumn, Verdict
from governance.engine.uses.kinds import (
    NO_PAPER,
    NOT_HEARD,
    Answer,
    Ended,
    Listed,
    Ownership,
    RecipientKind,
    Replied,
    Said,
    Tri,
    Use,
    WayCode,
)

_CODE = re.compile("[A-Z]{2}")


def _check_countries(codes: Iterable[str]) -> None:
    """Two spellings of one country would pass each other by: a country that is excluded would then be let in."""
    wrong = sorted(code for code in codes if not _CODE.fullmatch(code))
    if wrong:
        raise EngineError(f"countries are two capital letters (ISO 3166-1 alpha-2), not {', '.join(map(repr, wrong))}")


@dataclass(frozen=True)
class Term:
    """What one version of a paper says of one use, and under which conditions. Empty conditions set no limit.

    recipients: kinds that may receive. only_countries, not_countries: ISO 3166-1 alpha-2 of the place of the use.
    most_specimens: in all, under this paper, for this use. parts: what may be taken, folded words. not_before_day: end
    of an embargo. duties: asks for something (acknowledgement, report, copies, a condition that only people can check).
    otherwise: the answer where a condition is certainly not met: NOT_ALLOWED, ASK_FIRST or SILENT, which is at least
    ASK_FIRST: a paper that names a condition is not silent about who does not meet it.
    """

    said: Said
    clause: str = ""
    page: int | None = None
    recipients: frozenset[RecipientKind] = frozenset()
    only_countries: frozenset[str] = frozenset()
    not_countries: frozenset[str] = frozenset()
    non_commercial_only: bool = False
    identification_only: bool = False
    most_specimens: int | None = None
    parts: frozenset[str] = frozenset()
    not_before_day: int | None = None
    duties: bool = False
    otherwise: Said = Said.NOT_ALLOWED

    def __post_init__(self) -> None:
        if self.otherwise not in (Said.NOT_ALLOWED, Said.ASK_FIRST, Said.SILENT):
            raise EngineError(f"a condition that is not met leads to no, ask or silence, not to {self.otherwise.code}")
        _check_countries(self.only_countries | self.not_countries)


@dataclass(frozen=True)
class VersionTerms:
    """The terms of one version. from_day None: its start is not known, so it is the earliest. A use that is no key was
    not read. to_day does not matter: what a paper says of the use of material outlives the days of collecting."""

    from_day: int | None
    terms: Mapping[Use, Term] = field(default_factory=dict)
    ownership: Ownership = Ownership.NOT_SAID


@dataclass(frozen=True)
class PaperTerms:
    """One paper. versions empty: unread. suspensions: closed intervals, an open end is None.

    ended: (how, first day); the day of a paper that was never granted does not matter.
    """

    reference: str
    kind: str
    versions: tuple[VersionTerms, ...] = ()
    ended: tuple[Ended, int] | None = None
    suspensions: tuple[tuple[int, int | None], ...] = ()

    def __post_init__(self) -> None:
        starts = [version.from_day for version in self.versions]
        if len(set(starts)) < len(starts):
            raise EngineError(f"{self.reference}: two versions start on the same day")
        if self.kind == NO_PAPER:
            raise EngineError(f'{self.reference}: "{NO_PAPER}" is no kind of paper, it says that none is heard')


@dataclass(frozen=True)
class Asked:
    """One use that is asked for, with the facts that conditions ask about; None, "" and NOT_TOLD are not told.

    day: of the request; terms are those of the version in force then. country: ISO 3166-1 alpha-2, where the material
    or the result goes. parts: what is to be taken, folded words.
    """

    use: Use
    day: int
    recipient: RecipientKind | None = None
    country: str = ""
    commercial: Tri = Tri.NOT_TOLD
    identification_only: Tri = Tri.NOT_TOLD
    parts: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        _check_countries({self.country} - {""})


@dataclass(frozen=True)
class Silence:
    """How the house reads silence. readings: by (use, kind of paper), None and "" for any; the most specific counts,
    the kind before the use. Absent: it is not decided, so the answer is SILENT. A value is an ``Answer`` or NOT_HEARD.

    The key (use, "none") is for material of which no paper is heard at all.
    """

    readings: Mapping[tuple[Use | None, str], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        wrong = sorted(set(self.readings.values()) - {NOT_HEARD, *Answer})
        if wrong:
            raise EngineError(f"silence is read as an answer or as NOT_HEARD, not as {wrong}")

    def reading(self, use: Use, kind: str) -> int:
        """An ``Answer``, or NOT_HEARD."""
        keys: Sequence[tuple[Use | None, str]] = [(use, kind), (None, kind)]
        if kind != NO_PAPER:
            keys = [*keys, (use, ""), (None, "")]
        return next((self.readings[key] for key in keys if key in self.readings), int(Answer.SILENT))


Gate = Mapping[Verdict | None, Answer]
"""By the worst verdict of the material (None: not judged): the mildest answer that its use can get. A verdict that is
no key is taken carefully."""

CAREFUL_GATE: Final[Gate] = MappingProxyType(
    {
        verdict: Answer.NOT_KNOWN
        for verdict in (Verdict.CANNOT_TELL, Verdict.STRADDLES, Verdict.OUTSIDE, Verdict.MISSING, None)
    }
)
"""Material whose footing is not settled waits for a decision."""

OPEN_GATE: Final[Gate] = MappingProxyType({verdict: Answer.ALLOWED for verdict in (*Verdict, None)})
"""The footing of the material does not matter, as for a look at it in the house."""

UNGATED: Final = frozenset({Use.STUDY_ON_THE_SPOT, Use.RETURN_TO_PROVIDER})
"""Uses that are open to all material unless the house says otherwise."""


@dataclass(frozen=True)
class Policy:
    """The house rules of the desk. gates: by use; absent: open for ``UNGATED``, careful for all others."""

    silence: Silence = Silence()
    gates: Mapping[Use, Gate] = field(default_factory=dict)

    def gate(self, use: Use) -> Gate:
        return self.gates.get(use, OPEN_GATE if use in UNGATED else CAREFUL_GATE)


WAY_ANSWERS: Final[Mapping[WayCode, Answer]] = MappingProxyType(
    {
        WayCode.NOT_NEEDED: Answer.ALLOWED,
        WayCode.HELD: Answer.WITH_DUTIES,
        WayCode.EXCHANGE_LABEL: Answer.WITH_DUTIES,
        WayCode.NEEDED: Answer.ASK_FIRST,
        WayCode.NOT_KNOWN: Answer.NOT_KNOWN,
    }
)


@dataclass(frozen=True)
class Way:
    """The way there, where the material crosses a border. cites: of listed material; a label of a scientific exchange
    stands in for papers of CITES alone, and for no commercial use (Article VII(6))."""

    export: WayCode = WayCode.NOT_NEEDED
    import_: WayCode = WayCode.NOT_NEEDED
    cites: WayCode = WayCode.NEEDED
    source: Mapping[Layer, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if WayCode.EXCHANGE_LABEL in (self.export, self.import_):
            raise EngineError("the label of a scientific exchange stands in for papers of CITES alone")


UNKNOWN_WAY: Final = Way(WayCode.NOT_KNOWN, WayCode.NOT_KNOWN, WayCode.NOT_KNOWN)
"""Where the material goes is not told."""


@dataclass(frozen=True)
class Holding:
    """The material: one row a specimen that is asked for, or that one of these was taken from or pooled of.

    papers: by row into ``sets``, the distinct sets of papers that bear on rows by themselves. sets: of rows of the
    papers. verdict: worst verdict, NONE if not judged. listed: of ``Listed``. sources: pairs (row, row that it was
    taken from or is pooled of), int32, shape (n_pairs, 2). asked: rows that are answered for, int32. least, most:
    individuals of a row, int64, ``UNBOUNDED`` where there is no bound; None: one each. waiting: bool, a change of
    facts or papers waits to be judged, so that the verdict counts, and having none counts as well; None: nowhere.
    """

    papers: IntColumn
    sets: Sequence[frozenset[int]]
    verdict: IntColumn
    listed: ByteColumn
    sources: IntColumn
    asked: IntColumn
    least: LongColumn | None = None
    most: LongColumn | None = None
    waiting: BoolColumn | None = None

    def __post_init__(self) -> None:
        count = len(self.papers)
        columns = (self.verdict, self.listed, self.least, self.most, self.waiting)
        if any(column is not None and len(column) != count for column in columns):
            raise EngineError("Holding: columns differ in length")
        self._check_range("papers", self.papers, 0, len(self.sets))
        self._check_range("verdict", self.verdict, NONE, len(Verdict))
        self._check_range("listed", self.listed, 0, len(Listed))
        self._check_range("asked", self.asked, 0, count)
        self._check_range("sources", self.sources, 0, count)
        least, most = 1 if self.least is None else self.least, 1 if self.most is None else self.most
        if np.any(np.less(least, 0)) or np.any(np.greater(least, most)):
            raise EngineError("Holding.least, Holding.most: 0 <= least <= most")
        if self.sources.size and self.sources.shape[1:] != (2,):
            raise EngineError("Holding.sources: shape (n_pairs, 2)")

    def _check_range(self, name: str, values: IntColumn | ByteColumn, first: int, end: int) -> None:
        if values.size and (values.min() < first or values.max() >= end):
            raise EngineError(f"Holding.{name}: {values.min()} to {values.max()}, expected {first} to {end - 1}")


def holding_of(
    sets: Sequence[frozenset[int]], verdicts: Sequence[int], listed: Sequence[int] | None = None,
    sources: Sequence[tuple[int, int]] = (), asked: Sequence[int] | None = None,
    counts: Sequence[tuple[int, int]] | None = None, waiting: Sequence[bool] | None = None,
) -> Holding:  # fmt: skip
    """The same from plain lists, one set of papers a row: for few rows, and for tests. counts: least and most."""
    count = len(sets)
    bounds = None if counts is None else np.array(counts, np.int64).reshape(-1, 2)
    return Holding(
        papers=np.arange(count, dtype=np.int32), sets=tuple(sets), verdict=np.array(verdicts, np.int32),
        listed=np.array([Listed.NO] * count if listed is None else listed, np.uint8),
        sources=np.array(sources, np.int32).reshape(-1, 2),
        asked=np.array(range(count) if asked is None else asked, np.int32),
        least=None if bounds is None else bounds[:, 0], most=None if bounds is None else bounds[:, 1],
        waiting=None if waiting is None else np.array(waiting, bool),
    )  # fmt: skip


_EMPTY_POLICY: Final = Policy()


@dataclass(frozen=True)
class Question:
    """What is asked of the material. way: None where nothing crosses a border. replies: by (row of the paper, use).

    used_before: by (row of the paper, use), how many specimens of it were so used before. Who asks for commercial use
    has told that it is commercial, for all uses that are asked for together (``told``).
    """

    uses: Sequence[Asked]
    policy: Policy = _EMPTY_POLICY
    way: Way | None = None
    replies: Mapping[tuple[int, Use], Replied] = field(default_factory=dict)
    used_before: Mapping[tuple[int, Use], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.uses:
            raise EngineError("nothing is asked: name at least one use")


@dataclass(frozen=True, order=True)
class Finding:
    """One reason. code: of ``findings.CODES``. paper, version: rows of the papers and of its versions, NONE if it is of
    none. measure, against: numbers that were compared, such as specimens asked and allowed; days as ordinals; a measure
    without bound is NONE. is_silent: the paper says nothing, and ``answer`` is how the house reads that."""

    answer: Answer
    code: str
    use: Use
    paper: int = NONE
    version: int = NONE
    measure: int = 0
    against: int = 0
    is_silent: bool = False


@dataclass(frozen=True)
class Case:
    """What is answered to all specimens alike. findings: all that is not a plain yes, strictest first, and then the
    clauses that allow. word: the word on screen: SILENT where every deciding finding is silence, else the answer."""

    answer: Answer
    findings: tuple[Finding, ...]

    @property
    def deciding(self) -> tuple[Finding, ...]:
        return tuple(finding for finding in self.findings if finding.answer == self.answer)

    @property
    def is_silent(self) -> bool:
        return bool(self.deciding) and all(finding.is_silent for finding in self.deciding)

    @property
    def word(self) -> Answer:
        return Answer.SILENT if self.is_silent else self.answer


@dataclass(frozen=True)
class Answers:
    """case: int32 rows of ``cases``, shape (n_asked,), in the order of ``Holding.asked``."""

    case: IntColumn
    cases: tuple[Case, ...]

    def answers(self) -> list[Answer]:
        """One a specimen."""
        told = [case.answer for case in self.cases]
        return [told[row] for row in self.case.tolist()]
