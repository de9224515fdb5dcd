"""Limits on individuals. Rules: VERDICTS, section 6, "Numbers", with its own examples; sums by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from governance.engine import HouseRules, Outlines
from governance.engine.reference import judge
from tests.factories import zoo
from tests.factories.engine import a_material, a_paper, some_requirements
from tests.unit.governance.engine.judging import judged, told

SPECIES = "Animalia>Odonata>Libellulidae>Sympetrum>Sympetrum striolatum"
OTHER = "Animalia>Odonata>Libellulidae>Sympetrum>Sympetrum danae"
GENUS = "Animalia>Odonata>Libellulidae>Sympetrum"
FLY = "Animalia>Diptera>Syrphidae>Eristalis>Eristalis tenax"


def taken(*rows: tuple[Any, ...], caps: Sequence[str | int] = (10,)) -> list[tuple[Any, ...]]:
    """Rows are (day of May 2023, count, taxon, more); what is told of each: verdict, code, measure, against."""
    made = [
        {"date": f"2023-05-{day:02}", "count": count, "taxon": more[0] if more else SPECIES, "event": f"E-{day}",
         **(more[1] if len(more) > 1 else {})}
        for day, count, *more in rows
    ]  # fmt: skip
    verdicts = judged(made, [a_paper(caps=caps)])
    return [(v.verdict.code, *((f.code, f.measure, f.against) for f in v.findings if f.code)) for v in verdicts]


COVERED = ("covered",)


def breached(before: int, cap: int = 10) -> tuple[Any, ...]:
    return ("outside", ("cap-breached", before, cap))


def possible(most: int | None, cap: int = 10) -> tuple[Any, ...]:
    return ("cannot-tell", ("cap-possible", most, cap))


def test_up_to_the_limit() -> None:
    """4 and 5 of 10: safe (the contract's example)."""
    assert taken((1, 4), (2, 5)) == [COVERED, COVERED]
    assert taken((1, 4), (2, 6)) == [COVERED, COVERED]


def test_limit_within_a_catch() -> None:
    """4 before it, 7 in it: which of the 7 was one too many is not known."""
    assert taken((1, 4), (2, 7)) == [COVERED, possible(11)]


def test_limit_reached_before() -> None:
    assert taken((1, 10), (2, 1), (3, 1)) == [COVERED, breached(10), breached(11)]


def test_order_of_rows_does_not_matter() -> None:
    assert taken((3, 1), (1, 10), (2, 1)) == [breached(11), COVERED, breached(10)]


def test_limit_of_nothing() -> None:
    """Limit 0: every certain one is no; two may have been taken with the unidentified one."""
    assert taken((1, 1), (2, 1, GENUS), caps=["0 of Sympetrum striolatum"]) == [breached(0, 0), possible(2, 0)]


def test_unidentified_count_as_possible() -> None:
    """7 named and 30 "same genus" under a cap of 10: possible, 7 to 37."""
    found = taken((1, 7), (2, 30, GENUS), (3, 1), caps=["10 of Sympetrum striolatum"])
    assert found == [COVERED, possible(37), possible(38)]


def test_what_is_not_the_capped_taxon_does_not_count() -> None:
    found = taken((1, 10), (2, 50, FLY), (3, 1), caps=["10 of Odonata"])
    assert found == [COVERED, COVERED, breached(10)]


def test_each_species_has_its_own_limit() -> None:
    assert taken((1, 10), (2, 10, OTHER), caps=["10 each species"]) == [COVERED, COVERED]
    assert taken((1, 10), (2, 10, OTHER)) == [COVERED, breached(10)]


@pytest.mark.parametrize(("count", "expected"), [
    (0, COVERED), (1, COVERED), (10, COVERED), (11, possible(11)), ((5, 10), COVERED), ((5, 11), possible(11)),
    ((1, None), possible(None)), ("many", possible(None)),
])  # fmt: skip
def test_counts_of_one_lot(count: Any, expected: tuple[Any, ...]) -> None:
    (found,) = taken((1, count))
    assert found == expected


def test_blank_count_is_one_with_a_remark() -> None:
    assert taken((1, None)) == [("covered", ("count-assumed", None, None))]
    rows = [{"count": None}]
    assert told(judged(rows, [a_paper()])[0]) == COVERED  # no cap was tested


@pytest.mark.parametrize(
    ("per", "more", "expected"),
    [
        ("year", {"date": "2024-05-02"}, COVERED),
        ("year", {"date": "2023-12-31"}, breached(10)),
        ("site", {"site": "bog"}, COVERED),
        ("site", {"site": "MEADOW"}, breached(10)),
        ("site", {"site": ""}, possible(11)),
        ("event", {"event": "E-9"}, COVERED),
        ("event", {"event": ""}, possible(11)),
        ("paper", {"site": "bog", "event": "E-9"}, breached(10)),
    ],
)
def test_what_a_limit_is_for(per: str, more: dict[str, Any], expected: tuple[Any, ...]) -> None:
    """A blank site or event is certain only with itself, possible with all."""
    first = (1, 10, SPECIES, {"site": "meadow"})
    assert taken(first, (2, 1, SPECIES, {"site": "meadow", **more}), caps=[f"10 per {per}"])[1] == expected


def test_same_event_is_not_before() -> None:
    """Two rows of one event: neither was certainly taken before the other."""
    same = {"event": "E-1"}
    assert taken((1, 10, SPECIES, same), (1, 1, SPECIES, same)) == [possible(11), possible(11)]


def test_same_event_is_not_before_on_whatever_day_its_rows_are() -> None:
    """Rows of one event with days of their own: 10 on the first day are not before the event of the row of the third,
    so B is 0 and A 11. Before that of the row of the second day they are (B = 10), and for the third row of another
    event both are: B = 10 + 1.
    """
    same = {"event": "E-1"}
    assert taken((1, 10, SPECIES, same), (3, 1, SPECIES, same)) == [possible(11), possible(11)]
    assert taken((1, 10, SPECIES, same), (2, 1), (3, 1, SPECIES, same))[1] == breached(10)
    assert taken((1, 10, SPECIES, same), (3, 1, SPECIES, same), (4, 1))[2] == breached(11)


def test_taken_outside_the_permit_is_not_certain() -> None:
    """What was taken after the end does not count at all; a straddling run counts as possible."""
    rows = [{"date": "2022-12-31", "count": 10, "taxon": SPECIES, "event": "A"},
            {"date": "2022-12-31/2023-01-01", "count": 10, "taxon": SPECIES, "event": "B"},
            {"date": "2023-02-01", "count": 1, "taxon": SPECIES, "event": "C"}]  # fmt: skip
    found = judged(rows, [a_paper(caps=[10], start="2023-01-01")])[2]
    assert [(f.code, f.measure) for f in found.findings] == [("cap-possible", 11)]


@pytest.mark.parametrize("cap", [0, 1, "10 each species", "5 of Sympetrum per year", "400 per site", "500 per event"])
def test_zoo_of_counts_agrees_with_the_twin(cap: Any) -> None:
    names = (SPECIES, OTHER, GENUS, FLY)
    rows = [
        {"count": count, "taxon": names[n % 4], "date": f"2023-05-{1 + n % 3:02}", "event": ("", "E-1", "E-2")[n % 3],
         "site": ("meadow", "", "bog")[n % 3]}
        for n, count in enumerate(zoo.COUNTS)
    ]  # fmt: skip
    papers = [a_paper(caps=[cap])]
    slow = judge(a_material(rows), papers, some_requirements(), Outlines(), HouseRules())
    for row, mine, theirs in zip(rows, judged(rows, papers), slow, strict=True):
        (expected,) = theirs.values()
        assert told(mine) == told(expected), row
        assert [(f.measure, f.against) for f in mine.findings] == [(f.measure, f.against) for f in expected.findings], (
            row
        )
