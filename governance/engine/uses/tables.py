"""What papers say of the use of material, what is asked, and the answers: frozen values that go in and come out.

Days are proleptic ordinals, as in ``governance.engine.tables``. Sources of the kinds of use and of the answers: the trade
(common practice, no source); of the terms on third parties and on a change of intent: Nagoya Protocol, Art. 6(3)(g).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from types import MappingProxyType
from typing import Final

import numpy as np

from governance.engine.tables import NONE, ByteColumn, EngineError, IntColumn, Layer, Verdict


class _Coded(IntEnum):
    """Words of files and addresses: ``loan-abroad``."""

    @property
    def code(self) -> str:
        return self.name.lower().replace("_", "-")


class Use(_Coded):
    """Kinds of use, in the order in which screens list them. The numbers are stored: never change one."""

    STUDY_ON_THE_SPOT = 0
    LOAN_AT_HOME = 1
    LOAN_ABROAD = 2
    ONWARD_LOAN = 3
    RETENTION = 4
    GIFT_OR_EXCHANGE = 5
    DESTRUCTIVE_SAMPLING = 6
    DNA_FOR_IDENTIFICATION = 7
    SEQUENCING = 8
    PUBLISHING_SEQUENCES = 9
    IMAGING = 10
    PUBLISHING_IMAGES = 11
    PUBLISHING_LOCALITIES = 12
    EXHIBITION = 13
    TEACHING = 14
    COMMERCIAL_USE = 15
    DISPOSAL = 16
    RETURN_TO_PROVIDER = 17

    @classmethod
    def from_code(cls, code: str) -> Use:
        """The use of a word.

        Raises:
            EngineError: no use has that word; the message lists those that are.
        """
        try:
            return cls[code.upper().replace("-", "_")]
        except KeyError:
            raise EngineError(f'"{code}" is no use; the uses are {", ".join(use.code for use in cls)}') from None


DATA_USES: Final = frozenset(
    {Use.PUBLISHING_SEQUENCES, Use.PUBLISHING_IMAGES, Use.PUBLISHING_LOCALITIES, Use.COMMERCIAL_USE}
)
"""Uses of what was derived: a sequence or an image takes the clauses on these alone from the material behind it."""

TITLE_USES: Final = frozenset(
    {Use.ONWARD_LOAN, Use.RETENTION, Use.GIFT_OR_EXCHANGE, Use.DESTRUCTIVE_SAMPLING, Use.COMMERCIAL_USE, Use.DISPOSAL}
)
"""Uses that only an owner may allow: where title lies elsewhere and the paper is silent, the owner is asked."""

TRAVELS: Final = frozenset(
    {Use.LOAN_ABROAD, Use.ONWARD_LOAN, Use.RETENTION, Use.GIFT_OR_EXCHANGE, Use.RETURN_TO_PROVIDER, Use.EXHIBITION}
)
"""Uses by which material may cross a border; whether it does is told by the place that is asked for."""


class Said(_Coded):
    """What a paper says of a use. That nobody has read it for this use is no value: the term is absent."""

    ALLOWED = 0
    WITH_DUTIES = 1
    ASK_FIRST = 2
    NOT_ALLOWED = 3
    SILENT = 4


class Answer(_Coded):
    """The answer of the desk, mildest to strictest: that of several papers, or of several uses, is the largest.

    SILENT: the terms say nothing and the house has not decided how that is read. NOT_KNOWN: papers unread, facts not
    told, footing of the material not settled: a person reads or decides. It is stricter than SILENT, since what is
    unread may forbid.
    """

    ALLOWED = 0
    WITH_DUTIES = 1
    ASK_FIRST = 2
    SILENT = 3
    NOT_KNOWN = 4
    NOT_ALLOWED = 5


NOT_HEARD: Final = -1
"""Reading of silence by which a paper of a kind is not expected to speak of a use, such as a health certificate."""

MAY_GO: Final = frozenset({Answer.ALLOWED, Answer.WITH_DUTIES})


class RecipientKind(_Coded):
    """Who receives. The numbers are stored as bits: never change one."""

    PUBLIC_RESEARCH = 0
    PRIVATE_RESEARCH = 1
    COMPANY = 2
    INDIVIDUAL = 3
    AUTHORITY = 4


class Ownership(_Coded):
    """Who keeps the title, by the terms of a paper. NOT_SAID: it does not tell."""

    NOT_SAID = 0
    HOUSE = 1
    STATE_KEEPS_TITLE = 2
    OWNER_KEEPS_TITLE = 3
    DEPOSIT = 4
    LOAN_IN = 5


ELSEWHERE: Final = frozenset(
    {Ownership.STATE_KEEPS_TITLE, Ownership.OWNER_KEEPS_TITLE, Ownership.DEPOSIT, Ownership.LOAN_IN}
)
"""Title lies with somebody else."""


@dataclass(frozen=True)
class Term:
    """What one version of a paper says of one use, and under which conditions. Empty conditions set no limit.

    recipients: kinds that may receive. only_countries, not_countries: ISO 3166-1 alpha-2 of the place of the use.
    most_specimens: in all, under this paper, for this use. parts: what may be taken, folded words. not_before_day: end of
    an embargo. duties: asks for something (acknowledgement, report, copies, a condition that only people can check).
    otherwise: the answer where a condition is certainly not met: NOT_ALLOWED, ASK_FIRST or SILENT.
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


@dataclass(frozen=True)
class VersionTerms:
    """The terms of one version. from_day None: its start is not known, so it is the earliest. A use that is no key was
    not read. to_day does not matter: what a paper says of the use of material outlives the days of collecting."""

    from_day: int | None
    terms: Mapping[Use, Term] = field(default_factory=dict)
    ownership: Ownership = Ownership.NOT_SAID


class Ended(_Coded):
    """How a paper ceased to hold: its terms bind on, and the provider is asked before any further use."""

    REVOKED = 0
    WITHDRAWN = 1
    SURRENDERED = 2
    REFUSED = 3
    APPLIED = 4


@dataclass(frozen=True)
class PaperTerms:
    """One paper. versions empty: unread. ended: (how, first day); suspensions: closed intervals, an open end is None."""

    reference: str
    kind: str
    versions: tuple[VersionTerms, ...] = ()
    ended: tuple[Ended, int] | None = None
    suspensions: tuple[tuple[int, int | None], ...] = ()

    def __post_init__(self) -> None:
        starts = [version.from_day for version in self.versions]
        if len(set(starts)) < len(starts):
            raise EngineError(f"{self.reference}: two versions start on the same day")


class Tri(IntEnum):
    """A fact of the request: yes, no, or not told."""

    NO = 0
    YES = 1
    NOT_TOLD = 2


@dataclass(frozen=True)
class Asked:
    """One use that is asked for, with the facts that conditions ask about; None, "" and NOT_TOLD are not told.

    day: of the request; terms are those of the version in force then. country: ISO 3166-1 alpha-2, where the material or
    the result goes. parts: what is to be taken, folded words.
    """

    use: Use
    day: int
    recipient: RecipientKind | None = None
    country: str = ""
    commercial: Tri = Tri.NOT_TOLD
    identification_only: Tri = Tri.NOT_TOLD
    parts: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Silence:
    """How the house reads silence. readings: by (use, kind of paper), None and "" for any; the most specific counts,
    the kind before the use. Absent: it is not decided, so the answer is SILENT. A value is an ``Answer`` or NOT_HEARD.

    The key (use, "none") is for material of which no paper is heard at all.
    """

    readings: Mapping[tuple[Use | None, str], int] = field(default_factory=dict)

    def reading(self, use: Use, kind: str) -> int:
        """An ``Answer``, or NOT_HEARD."""
        keys = ((use, kind), (None, kind), (use, ""), (None, ""))
        if kind == NO_PAPER:
            keys = keys[:2]
        return next((self.readings[key] for key in keys if key in self.readings), int(Answer.SILENT))


NO_PAPER: Final = "none"

Gate = Mapping[Verdict | None, Answer]
"""By the worst verdict of the material (None: not judged): the mildest answer that its use can get."""

OPEN_GATE: Final[Gate] = MappingProxyType({})
"""The footing of the material does not matter, as for a look at it in the house."""

CAREFUL_GATE: Final[Gate] = MappingProxyType(
    {
        verdict: Answer.NOT_KNOWN
        for verdict in (Verdict.CANNOT_TELL, Verdict.STRADDLES, Verdict.OUTSIDE, Verdict.MISSING, None)
    }
)
"""Material whose footing is not settled waits for a decision."""

UNGATED: Final = frozenset({Use.STUDY_ON_THE_SPOT, Use.RETURN_TO_PROVIDER})
"""Uses that are open to all material unless the house says otherwise."""


@dataclass(frozen=True)
class Policy:
    """The house rules of the desk. gates: by use; absent: open for ``UNGATED``, careful for all others."""

    silence: Silence = Silence()
    gates: Mapping[Use, Gate] = field(default_factory=dict)

    def gate(self, use: Use) -> Gate:
        return self.gates.get(use, OPEN_GATE if use in UNGATED else CAREFUL_GATE)


class WayCode(_Coded):
    """What is known of one paper of the way there: export from here, import over there, CITES."""

    NOT_NEEDED = 0
    HELD = 1
    EXCHANGE_LABEL = 2
    NEEDED = 3
    NOT_KNOWN = 4


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
    """The way there, where the material crosses a border. cites: of listed material. listing_known: the house keeps a
    list of listed names; without one nothing is known to be free of CITES."""

    export: WayCode = WayCode.NOT_NEEDED
    import_: WayCode = WayCode.NOT_NEEDED
    cites: WayCode = WayCode.NEEDED
    source: Mapping[Layer, str] = field(default_factory=dict)


class Listed(IntEnum):
    """Whether material is of a species that CITES lists: by its name, as far as it is named."""

    NO = 0
    UNKNOWN = 1
    YES = 2


class Replied(_Coded):
    """What a provider replied for one request: it stands in for the clause that says ask, or for its silence."""

    AGREED = 0
    WAITING = 1
    REFUSED = 2


@dataclass(frozen=True)
class Holding:
    """The material: one row a specimen that is asked for, or that one of these was taken from or pooled of.

    papers: by row into ``sets``, the distinct sets of papers that bear on rows by themselves. sets: of rows of the papers.
    verdict: worst verdict, NONE if not judged. listed: of ``Listed``. sources: pairs (row, row that it was taken from or
    is pooled of), int32, shape (n_pairs, 2). asked: rows that are answered for, int32.
    """

    papers: IntColumn
    sets: Sequence[frozenset[int]]
    verdict: IntColumn
    listed: ByteColumn
    sources: IntColumn
    asked: IntColumn

    def __post_init__(self) -> None:
        count = len(self.papers)
        if not len(self.verdict) == len(self.listed) == count:
            raise EngineError("Holding: columns differ in length")
        if count and (self.papers.min() < 0 or self.papers.max() >= len(self.sets)):
            raise EngineError(f"Holding.papers points outside its {len(self.sets)} sets")
        for name, rows in (("asked", self.asked), ("sources", self.sources)):
            if rows.size and (rows.min() < 0 or rows.max() >= count):
                raise EngineError(f"Holding.{name} points outside its {count} rows")
        if self.sources.size and self.sources.shape[1:] != (2,):
            raise EngineError("Holding.sources: shape (n_pairs, 2)")


def holding_of(
    sets: Sequence[frozenset[int]], verdicts: Sequence[int], listed: Sequence[int] | None = None,
    sources: Sequence[tuple[int, int]] = (), asked: Sequence[int] | None = None,
) -> Holding:  # fmt: skip
    """The same from plain lists, one set of papers a row: for few rows, and for tests."""
    count = len(sets)
    return Holding(
        np.arange(count, dtype=np.int32), tuple(sets), np.array(verdicts, np.int32),
        np.array([Listed.NO] * count if listed is None else listed, np.uint8),
        np.array(sources, np.int32).reshape(-1, 2), np.array(range(count) if asked is None else asked, np.int32),
    )  # fmt: skip


@dataclass(frozen=True, order=True)
class Finding:
    """One reason. code: of ``findings.CODES``. paper, version: rows of the papers and of its versions, NONE if it is of none.
    measure, against: numbers that were compared, such as specimens asked and allowed; days as ordinals. is_silent: the
    paper says nothing, and ``answer`` is how the house reads that."""

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
    """What is answered to all specimens alike. findings: all that is not a plain yes, strictest first, and then the clauses
    that allow. word: the word on screen: SILENT where every deciding finding is silence, else the answer."""

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
        return [self.cases[row].answer for row in self.case.tolist()]
