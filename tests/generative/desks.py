"""Generated questions to the use desk: papers with terms, material with parts, pools and circles, and what is asked.

Days lie close together and words are few, so that limits are met, just missed and contradicted often.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from hypothesis import strategies as st

from governance.engine.tables import NONE, UNBOUNDED, Verdict
from governance.engine.uses import (
    NO_PAPER,
    NOT_HEARD,
    Answer,
    Asked,
    Ended,
    Holding,
    Listed,
    Ownership,
    PaperTerms,
    Policy,
    Question,
    RecipientKind,
    Replied,
    Said,
    Silence,
    Term,
    Tri,
    Use,
    VersionTerms,
    Way,
    WayCode,
    holding_of,
)

DAY = 738_000
DAYS = st.integers(DAY - 3, DAY + 3)
USES = (
    Use.STUDY_ON_THE_SPOT, Use.LOAN_AT_HOME, Use.LOAN_ABROAD, Use.RETENTION, Use.SEQUENCING, Use.PUBLISHING_LOCALITIES,
    Use.COMMERCIAL_USE, Use.RETURN_TO_PROVIDER,
)  # fmt: skip
KINDS = ("collecting-permit", "veterinary-certificate")
COUNTRIES = ("SE", "IS")
PARTS = ("leg", "wing")

uses = st.sampled_from(USES)


def _some(values: tuple[str, ...] | tuple[RecipientKind, ...]) -> st.SearchStrategy[frozenset[str]]:
    return st.one_of(st.just(frozenset()), st.frozensets(st.sampled_from(values), max_size=2))  # type: ignore[arg-type]


bare_terms = st.builds(Term, st.sampled_from(Said))
full_terms = st.builds(
    Term,
    said=st.sampled_from(Said),
    recipients=_some((RecipientKind.PUBLIC_RESEARCH, RecipientKind.COMPANY)),
    only_countries=_some(COUNTRIES),
    not_countries=_some(COUNTRIES),
    non_commercial_only=st.booleans(),
    identification_only=st.booleans(),
    most_specimens=st.none() | st.integers(0, 6),
    parts=_some(PARTS),
    not_before_day=st.none() | DAYS,
    duties=st.booleans(),
    otherwise=st.sampled_from((Said.NOT_ALLOWED, Said.ASK_FIRST, Said.SILENT)),
)
terms_of_one_condition = st.builds(
    lambda said, otherwise, condition: Term(said, otherwise=otherwise, **condition),
    st.sampled_from((Said.ALLOWED, Said.ASK_FIRST, Said.SILENT)),
    st.sampled_from((Said.NOT_ALLOWED, Said.ASK_FIRST, Said.SILENT)),
    st.sampled_from((
        {"recipients": frozenset({RecipientKind.PUBLIC_RESEARCH})}, {"only_countries": frozenset({"SE"})},
        {"not_countries": frozenset({"SE"})}, {"non_commercial_only": True}, {"identification_only": True},
        {"parts": frozenset({"leg"})}, {"not_before_day": DAY}, {"duties": True}, {"most_specimens": 2},
        {"most_specimens": 1}, {"most_specimens": 4},
    )),
)  # fmt: skip
clauses = st.one_of(bare_terms, bare_terms, terms_of_one_condition, full_terms)


@st.composite
def versions(draw: st.DrawFn, from_day: int | None, of: Collection[Use]) -> VersionTerms:
    """Terms on most of some uses; on the others nobody read it."""
    terms = {use: draw(clauses) for use in sorted(of) if draw(st.integers(0, 9))}
    return VersionTerms(from_day, terms, draw(st.sampled_from(Ownership)))


@st.composite
def papers(draw: st.DrawFn, of: Collection[Use], number: int = 0) -> PaperTerms:
    """Unread, of one version, or amended; a few ended or suspended, in force on the day or not."""
    starts = draw(st.one_of(st.just([None]), st.lists(st.none() | DAYS, unique=True, max_size=3)))
    ended = draw(st.one_of(st.none(), st.none(), st.tuples(st.sampled_from(Ended), DAYS)))
    pauses = draw(st.one_of(st.just([]), st.just([]), st.lists(st.tuples(DAYS, st.none() | DAYS), max_size=2)))
    kind = draw(st.sampled_from(KINDS))
    return PaperTerms(f"P-{number}", kind, tuple(draw(versions(start, of)) for start in starts), ended, tuple(pauses))


verdicts = st.one_of(
    st.sampled_from((Verdict.COVERED, Verdict.NOT_REQUIRED)), st.sampled_from((NONE, *Verdict))
).map(int)  # fmt: skip
listings = st.one_of(st.just(Listed.NO), st.sampled_from(Listed)).map(int)
counts = st.one_of(
    st.just((1, 1)),
    st.tuples(st.integers(0, 3), st.integers(3, 5)),
    st.tuples(st.integers(0, 3), st.just(int(UNBOUNDED))),
)  # fmt: skip


@st.composite
def holdings(draw: st.DrawFn, n_papers: int, has_circles: bool = True) -> Holding:
    """Up to 7 rows; chains of parts, pools and, if wanted, circles in the records; some rows are asked for twice."""
    size = draw(st.integers(0, 7))
    none = frozenset[int]()
    one_set = st.frozensets(st.integers(0, n_papers - 1), max_size=3) if n_papers else st.just(none)
    rows = st.integers(0, size - 1) if size else st.nothing()
    pairs = st.lists(st.tuples(rows, rows), max_size=6) if size else st.just([])
    sources = [(a, b) for a, b in draw(pairs) if has_circles or a > b]
    return holding_of(
        [draw(one_set) for _ in range(size)],
        [draw(verdicts) for _ in range(size)],
        [draw(listings) for _ in range(size)],
        sources,
        draw(st.lists(rows, max_size=8)) if size else [],
        draw(st.none() | st.lists(counts, min_size=size, max_size=size)),
        draw(st.none() | st.lists(st.booleans(), min_size=size, max_size=size)),
    )


answers = st.sampled_from(Answer).map(int)
silences = st.builds(
    Silence,
    st.dictionaries(
        st.tuples(st.none() | uses, st.sampled_from(("", NO_PAPER, *KINDS))),
        st.one_of(answers, st.just(NOT_HEARD), st.just(NOT_HEARD), st.just(int(Answer.ALLOWED))),
        max_size=5,
    ),
)
gates = st.dictionaries(st.sampled_from((*Verdict, None)), st.sampled_from(Answer), max_size=6)
policies = st.builds(Policy, silences, st.one_of(st.just({}), st.dictionaries(uses, gates, max_size=2)))

_LEGS = (WayCode.NOT_NEEDED, WayCode.HELD, WayCode.NEEDED, WayCode.NOT_KNOWN)
ways = st.none() | st.builds(Way, st.sampled_from(_LEGS), st.sampled_from(_LEGS), st.sampled_from(WayCode))


@st.composite
def requests(draw: st.DrawFn, most_uses: int = 3) -> list[Asked]:
    """One to three uses with the facts that are told of all of them; now and then one use twice, on two days."""
    facts = {
        "recipient": draw(st.sampled_from((None, RecipientKind.PUBLIC_RESEARCH, RecipientKind.COMPANY))),
        "country": draw(st.sampled_from(("", *COUNTRIES))),
        "commercial": draw(st.sampled_from(Tri)),
        "identification_only": draw(st.sampled_from(Tri)),
        "parts": draw(st.frozensets(st.sampled_from(PARTS))),
    }
    days = st.just(DAY) | st.just(DAY) | DAYS
    asked = draw(st.lists(st.tuples(uses, days), min_size=1, max_size=most_uses, unique=True))
    return [Asked(use, day, **facts) for use, day in asked]  # type: ignore[arg-type]


@st.composite
def questions(draw: st.DrawFn, n_papers: int) -> Question:
    asked = draw(requests())
    places = st.tuples(st.integers(0, n_papers - 1), st.sampled_from(sorted({one.use for one in asked})))
    replies = st.dictionaries(places, st.sampled_from(Replied), max_size=3)
    before = st.dictionaries(places, st.integers(0, 3), max_size=2)
    return Question(
        asked, draw(policies), draw(ways), draw(replies) if n_papers else {}, draw(before) if n_papers else {}
    )  # fmt: skip


@st.composite
def clear_papers(draw: st.DrawFn, of: Collection[Use], number: int = 0) -> PaperTerms:
    """Read on every use, in force, and mostly friendly: what holds a use up stands alone, or nothing does."""
    terms = {use: draw(st.one_of(st.just(Term(Said.ALLOWED)), terms_of_one_condition)) for use in sorted(of)}
    return PaperTerms(f"P-{number}", KINDS[0], (VersionTerms(None, terms, draw(st.sampled_from(Ownership))),))


@st.composite
def clear_holdings(draw: st.DrawFn, n_papers: int) -> Holding:
    """Material with papers, footing and names that raise no question; parts and pools of it."""
    size = draw(st.integers(1, 5))
    sets = st.frozensets(st.integers(0, n_papers - 1), min_size=1, max_size=2)
    sources = draw(st.lists(st.tuples(st.integers(0, size - 1), st.integers(0, size - 1)), max_size=4))
    return holding_of(
        [draw(sets) for _ in range(size)],
        [int(Verdict.COVERED)] * size,
        sources=[(max(pair), min(pair)) for pair in sources if len(set(pair)) == 2],
    )  # fmt: skip


class Desk(NamedTuple):
    """What is answered, in the order in which the engine and its twin take it."""

    papers: list[PaperTerms]
    holding: Holding
    question: Question


@st.composite
def desks(draw: st.DrawFn, has_circles: bool = True) -> Desk:
    """One in three is clear: questions that are answered with yes, but for one thing."""
    is_clear = draw(st.integers(0, 2)) == 0
    count = draw(st.integers(1, 3) if is_clear else st.integers(0, 4))
    question = draw(questions(count))
    asked = {asked.use for asked in question.uses}
    each = clear_papers if is_clear else papers
    material = clear_holdings(count) if is_clear else holdings(count, has_circles)
    return Desk([draw(each(asked, number)) for number in range(count)], draw(material), question)
