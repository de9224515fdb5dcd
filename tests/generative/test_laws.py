"""Laws that hold whatever the registers are: of order, of splitting, of wider papers and of greater doubt.

The laws of wider papers and of greater doubt are tested where they are exact: on one paper of one version, linked to
all, since with several papers or versions the nearest one may change. What a law cannot show stands beside it. None of
them can show that a verdict is right: an engine that always said "cannot-tell" would keep most of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from random import Random

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from governance.engine import assess, unfold
from governance.engine.tables import (
    NONE,
    RANKS,
    Assistants,
    Covers,
    DateReading,
    Layer,
    LayerVerdict,
    ListedTaxon,
    Material,
    Paper,
    PlaceItem,
    Position,
    Requirements,
    Specimens,
    Taxa,
    Verdict,
    Version,
    Words,
)
from tests.generative.registers import FLAVOURS, Register

fewer = settings(max_examples=max(15, settings.default.max_examples // 2))  # type: ignore[union-attr]
registers = st.builds(
    lambda flavour, seed: FLAVOURS[flavour](Random(seed)), st.sampled_from(sorted(FLAVOURS)), st.integers(0, 2**32 - 1)
)

Judged = list[dict[Layer, LayerVerdict]]


def judged(register: Register) -> Judged:
    return unfold(assess(*register))


def of_rows(material: Material, rows: list[int]) -> Material:
    """The same tables, with these rows of the specimens alone (a row may stand twice)."""
    s = material.specimens
    return replace(material, specimens=Specimens(*(getattr(s, f.name)[rows] for f in fields(Specimens))))


def without_caps(register: Register) -> Register:
    papers = [replace(p, versions=tuple(replace(v, caps=()) for v in p.versions)) for p in register.papers]
    return register._replace(papers=papers)


# ------------------------------------------------------------------------------------- order, splitting, repetition


@fewer
@given(register=registers, random=st.randoms(use_true_random=False))
def test_order_of_rows_is_irrelevant(register: Register, random: Random) -> None:
    """Caps too: what was taken before is told by dates, not by rows. Says nothing of the order of the tables."""
    rows = list(range(len(register.material.specimens)))
    random.shuffle(rows)
    shuffled = judged(register._replace(material=of_rows(register.material, rows)))
    before = judged(register)
    assert shuffled == [before[row] for row in rows]


@fewer
@given(register=registers, at=st.integers(0, 40))
def test_splitting_a_batch_changes_nothing(register: Register, at: int) -> None:
    """Without caps, which count over the whole batch; the classification is that of the whole file in both parts."""
    register = without_caps(register)
    rows = list(range(len(register.material.specimens)))
    parts = [judged(register._replace(material=of_rows(register.material, part))) for part in (rows[:at], rows[at:])]
    assert [*parts[0], *parts[1]] == judged(register)


@fewer
@given(register=registers)
def test_duplicates_have_one_verdict(register: Register) -> None:
    """Without caps, under which the second of two counts more than the first."""
    register = without_caps(register)
    rows = list(range(len(register.material.specimens)))
    twice = judged(register._replace(material=of_rows(register.material, rows + rows)))
    assert twice[: len(rows)] == twice[len(rows) :] == judged(register)


@fewer
@given(register=registers)
def test_same_input_same_verdicts(register: Register) -> None:
    """To the last bit of every measure. One process and one machine: other machines may round otherwise."""
    assert judged(register) == judged(register)


@fewer
@given(register=registers)
def test_a_paper_without_links_changes_nothing(register: Register) -> None:
    """It stands last in the file, so that no paper changes its number."""
    version = Version(None, None, methods=Words(frozenset({"hand net"})), people=("A. Person",))
    stranger = Paper(
        "P-X", "other", frozenset(register.requirements.layers), "AT", versions=(version,), covers=Covers()
    )
    before, after = judged(register), judged(register._replace(papers=[*register.papers, stranger]))
    assert after == before


@given(register=registers, random=st.randoms(use_true_random=False))
def test_a_decision_never_covers_and_never_worsens(register: Register, random: Random) -> None:
    """What a paper covers stays covered, word for word; of the decided accession all else is not required, and of the
    others nothing changes. Whether it was rightly decided is for people to say."""
    layer = random.choice(register.requirements.layers)
    accession = random.choice(register.material.accessions)
    decided = register.requirements.decided | {(layer, accession)}
    after = judged(register._replace(requirements=replace(register.requirements, decided=decided)))
    rows = register.material.specimens.accession.tolist()
    for row, one, other in zip(rows, judged(register), after, strict=True):
        for asked, before in one.items():
            is_decided = asked == layer and row != NONE and register.material.accessions[row] == accession
            free = is_decided and before.verdict != Verdict.COVERED
            assert other[asked] == (LayerVerdict(Verdict.NOT_REQUIRED) if free else before), (before, other[asked])


# ----------------------------------------------------------------------------------------------- one paper, one version


def of_one_paper(register: Register, *, caps: bool = False) -> Register:
    """The first paper that was read, with its first version, linked to all; no rule and no decision."""
    papers = [paper for paper in register.papers if paper.versions]
    assume(papers)
    version = papers[0].versions[0]
    version = version if caps else replace(version, caps=())
    layers = frozenset(register.requirements.layers)
    paper = replace(papers[0], layers=layers, versions=(version,), covers=Covers(all_accessions=True))
    return register._replace(papers=[paper], requirements=Requirements(register.requirements.layers))


def pairs(before: Judged, after: Judged) -> list[tuple[LayerVerdict, LayerVerdict]]:
    return [(one[layer], other[layer]) for one, other in zip(before, after, strict=True) for layer in one]


_MORE_LAND = PlaceItem(disc=(10.0, 50.0, 30_000.0))

WIDER: dict[str, Callable[[Version], Version]] = {
    "ends later": lambda v: replace(v, to_day=None if v.to_day is None else v.to_day + 40),
    "never closes": lambda v: replace(v, closed_seasons=()),
    "starts earlier": lambda v: replace(v, from_day=None if v.from_day is None else v.from_day - 40),
    "one place more": lambda v: replace(v, include_places=v.include_places and (*v.include_places, _MORE_LAND)),
    "no place excluded": lambda v: replace(v, exclude_places=()),
    "one name more": lambda v: replace(v, include_taxa=v.include_taxa and (*v.include_taxa, ListedTaxon("diptera"))),
    "any name": lambda v: replace(v, include_taxa=()),
    "no name excluded": lambda v: replace(v, exclude_taxa=()),
    "any method": lambda v: replace(v, methods=Words()),
    "any sex and stage": lambda v: replace(v, sexes=Words(), life_stages=Words()),
    "any assistant": lambda v: replace(v, assistants=Assistants.ALLOWED),
    "anybody": lambda v: replace(v, people=()),
}


@given(register=registers, wider=st.sampled_from(sorted(WIDER)))
def test_a_wider_paper_still_covers(register: Register, wider: str) -> None:
    """What one paper covers, it covers when it allows more. Without caps: a wider paper counts more specimens.

    It cannot show that a wider paper covers more, nor that what was no stays no or becomes yes.
    """
    narrow = of_one_paper(register)
    version = WIDER[wider](narrow.papers[0].versions[0])
    wide = narrow._replace(papers=[replace(narrow.papers[0], versions=(version,))])
    for before, after in pairs(judged(narrow), judged(wide)):
        assert before.verdict != Verdict.COVERED or after.verdict == Verdict.COVERED, (wider, before, after)


@fewer
@given(register=registers, more=st.integers(1, 60))
def test_a_higher_limit_still_covers(register: Register, more: int) -> None:
    """And what it does not breach, it does not breach: with a higher limit no answer of the caps gets worse."""
    low = of_one_paper(register, caps=True)
    version = low.papers[0].versions[0]
    caps = tuple(replace(cap, limit=cap.limit + more) for cap in version.caps)
    high = low._replace(papers=[replace(low.papers[0], versions=(replace(version, caps=caps),))])
    for before, after in pairs(judged(low), judged(high)):
        assert after.verdict <= before.verdict, (before, after)


def assert_only_less_sure(before: LayerVerdict, after: LayerVerdict) -> None:
    """Greater doubt: what was told may become cannot-tell; nothing becomes covered, and nothing a new no."""
    allowed = {
        Verdict.COVERED: {Verdict.COVERED, Verdict.CANNOT_TELL},
        Verdict.CANNOT_TELL: {Verdict.CANNOT_TELL},
        Verdict.STRADDLES: {Verdict.STRADDLES, Verdict.CANNOT_TELL},
        Verdict.OUTSIDE: {Verdict.OUTSIDE, Verdict.STRADDLES, Verdict.CANNOT_TELL},
    }
    assert after.verdict in allowed[before.verdict], (before, after)


_CONTRADICTIONS = {"country-mismatch", "place-conflict"}


@given(register=registers, factor=st.sampled_from((1.5, 4.0, 40.0)))
def test_a_larger_radius_is_only_less_sure(register: Register, factor: float) -> None:
    """Save where coordinates contradict the stated country or site: a larger radius takes the contradiction away."""
    sure = of_one_paper(register)
    places = replace(sure.material.places, radius_m=sure.material.places.radius_m * factor)
    unsure = sure._replace(material=replace(sure.material, places=places))
    for before, after in pairs(judged(sure), judged(unsure)):
        if not _CONTRADICTIONS & {finding.code for finding in before.findings}:
            assert_only_less_sure(before, after)


@fewer
@given(register=registers)
def test_a_position_coarsened_on_purpose_is_only_less_sure(register: Register) -> None:
    """All coordinates marked as coarsened."""
    sure = of_one_paper(register)
    located = np.isin(sure.material.places.position, (Position.POINT, Position.FOOTPRINT))
    places = replace(sure.material.places, generalized=located)
    unsure = sure._replace(material=replace(sure.material, places=places))
    for before, after in pairs(judged(sure), judged(unsure)):
        assert_only_less_sure(before, after)


@given(register=registers, days=st.integers(0, 20), qualified=st.booleans())
def test_a_vaguer_date_is_only_less_sure(register: Register, days: int, qualified: bool) -> None:
    """Every interval made vague, wider by some days on both sides, and qualified or not."""
    sure = of_one_paper(register)
    dates = sure.material.dates
    known = dates.reading <= DateReading.VAGUE
    wider = replace(
        dates,
        earliest=np.where(known, dates.earliest - days, dates.earliest).astype(np.int32),
        latest=np.where(known, dates.latest + days, dates.latest).astype(np.int32),
        reading=np.where(known, DateReading.VAGUE, dates.reading).astype(np.uint8),
        qualified=dates.qualified | (known & qualified),
    )
    for before, after in pairs(judged(sure), judged(sure._replace(material=replace(sure.material, dates=wider)))):
        assert_only_less_sure(before, after)


@fewer
@given(register=registers)
def test_a_date_that_cannot_be_read_is_only_less_sure(register: Register) -> None:
    sure = of_one_paper(register)
    unread = replace(sure.material.dates, reading=np.full(len(sure.material.dates), DateReading.UNREADABLE, np.uint8))
    for before, after in pairs(judged(sure), judged(sure._replace(material=replace(sure.material, dates=unread)))):
        assert_only_less_sure(before, after)


@given(register=registers, rank=st.sampled_from(("kingdom", "order", "family", "genus")))
def test_a_higher_name_is_only_less_sure(register: Register, rank: str) -> None:
    """The specimens' names cut off below a rank. The statements themselves stay in the file, so that the classification
    is the same: what a file says of other names must not change with the specimen."""
    sure = of_one_paper(register)
    taxa, count = sure.material.taxa, len(sure.material.taxa)
    kept = RANKS.index(rank) + 1
    cut = [(*lineage[:kept], *[""] * (len(RANKS) - kept)) for lineage in taxa.lineage]
    more = Taxa(
        [*taxa.lineage, *cut],
        [*taxa.unranked, *[()] * count],
        np.concatenate([taxa.qualified, taxa.qualified]),
        [*taxa.text, *taxa.text],
    )
    specimens = replace(sure.material.specimens, taxon=(sure.material.specimens.taxon + count).astype(np.int32))
    both = sure._replace(material=replace(sure.material, taxa=more))
    unsure = both._replace(material=replace(both.material, specimens=specimens))
    for before, after in pairs(judged(both), judged(unsure)):
        assert_only_less_sure(before, after)


@fewer
@given(register=registers, more=st.integers(1, 50))
def test_a_wider_count_is_only_less_sure(register: Register, more: int) -> None:
    """With caps: the upper bound of every count raised, the lower one kept."""
    sure = of_one_paper(register, caps=True)
    specimens = replace(sure.material.specimens, count_high=sure.material.specimens.count_high + more)
    unsure = sure._replace(material=replace(sure.material, specimens=specimens))
    for before, after in pairs(judged(sure), judged(unsure)):
        assert_only_less_sure(before, after)
