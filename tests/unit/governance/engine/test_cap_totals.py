"""Limits as a whole. Rules and worked values: VERDICTS, section 6, "Numbers"; the twin is ``cap_as_a_whole``."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from governance.engine import HouseRules, Outlines, reference
from governance.engine.cap_totals import LAST_SOURCE, CapTotal, cap_totals
from governance.engine.reference_caps import cap_as_a_whole
from governance.engine.tables import Layer, Paper
from governance.engine.taxa import Classification
from tests.factories.engine import a_cap, a_material, a_paper

GENUS = "Animalia>Odonata>Libellulidae>Sympetrum"
SPECIES, OTHER = f"{GENUS}>Sympetrum striolatum", f"{GENUS}>Sympetrum danae"


def totals(rows: list[dict[str, Any]], *papers: Paper, source: list[int] | None = None) -> list[CapTotal]:
    material = a_material(rows)
    sources = np.array(source or [LAST_SOURCE] * len(rows), np.int64)
    return cap_totals(material, papers, sources, Outlines(), HouseRules(), Classification(material.taxa))


def taken(*rows: tuple[Any, ...], cap: str = "10 of Sympetrum striolatum") -> tuple[str, int, int | None]:
    """Rows are (count, taxon); state, L and U."""
    made = [{"count": count, "taxon": taxon, "event": f"E-{n}"} for n, (count, taxon) in enumerate(rows)]
    (total,) = totals(made, a_paper(caps=[cap]))
    return (total.state, *total.together)


def test_examples_of_the_contract() -> None:
    """Cap 10; 7 named and 30 "same genus": possible, 7 to 37; 12 named: breached; 4 and 5: safe."""
    assert taken((7, SPECIES), (30, GENUS)) == ("possible", 7, 37)
    assert taken((12, SPECIES)) == ("breached", 12, 12)
    assert taken((4, SPECIES), (5, SPECIES)) == ("safe", 9, 9)


def test_no_bound() -> None:
    assert taken(("many", SPECIES)) == ("possible", 1, None)


def test_each_species_apart() -> None:
    """8 of one and 7 of another: the fuller one is shown; 3 of the genus may be of either."""
    assert taken((8, SPECIES), (7, OTHER), cap="10 each species") == ("safe", 8, 8)
    assert taken((8, SPECIES), (7, OTHER), (3, GENUS), cap="10 each species") == ("possible", 8, 11)


def test_sources_are_told_apart() -> None:
    rows = [{"count": n, "taxon": SPECIES, "event": f"E-{n}"} for n in (1, 2, 4, 8)]
    (total,) = totals(rows, a_paper(caps=[20]), source=[0, 0, 1, 2])
    assert (total.low, total.high, total.together) == ((3, 4, 8), (3, 4, 8), (15, 15))
    assert total.specimen == 3
    assert totals(rows, a_paper(caps=[20]), source=[0, 0, 1, 1]) == [], "nothing of the last source"


def test_what_another_paper_or_no_taxon_counts() -> None:
    rows = [{"count": 3, "taxon": SPECIES}]
    assert totals(rows, a_paper(caps=["5 of Calopteryx virgo"]), a_paper()) == []
    assert totals([], a_paper(caps=[5]), source=[]) == []
    (total,) = totals(rows, a_paper(caps=["5 of Calopteryx virgo", "2 of Sympetrum striolatum"]))
    assert (total.cap.limit, total.state, total.together) == (2, "breached", (3, 3)), "the limits after it count"


def test_limits_come_in_the_order_of_their_papers() -> None:
    """On whichever layer each paper is counted."""
    rows = [{"count": 3, "taxon": SPECIES, "exported": "2023-05-01"}]
    papers = [a_paper(layers="export", caps=[5]), a_paper(caps=[6, 7]), a_paper(layers="export", caps=[8])]
    assert [(total.paper, total.cap.limit) for total in totals(rows, *papers)] == [(0, 5), (1, 6), (1, 7), (2, 8)]


@pytest.mark.parametrize(("date", "expected"), [("2023-12-31/2024-01-01", (5, 9)), ("2023-12-30/2023-12-31", (9, 9))])
def test_year(date: str, expected: tuple[int, int]) -> None:
    """5 on 1 December and 4 about the turn of the year: of which year the 4 are is not known if a run crosses it."""
    rows = [{"date": "2023-12-01", "count": 5, "event": "A"}, {"date": date, "count": 4, "event": "B"}]
    (total,) = totals(rows, a_paper(caps=["10 per year"]))
    assert total.together == expected


CAPS = ["10", "10 of Sympetrum striolatum", "10 each species", "6 per event", "6 per year", "6 per site"]
ROWS = st.lists(
    st.fixed_dictionaries(
        {
            "date": st.sampled_from(["2023-05-01", "2023-05-09", "2023-12-30/2024-01-02", "2024-02-01", ""]),
            "taxon": st.sampled_from([GENUS, SPECIES, OTHER, "Animalia>Odonata"]),
            "count": st.one_of(st.integers(0, 9), st.tuples(st.integers(0, 3), st.integers(3, 9)), st.just("many")),
            "event": st.sampled_from(["", "E-1", "E-2", "E-3"]),
            "site": st.sampled_from(["", "S-1", "S-2", "S-1 | Mire"]),
        }
    ),
    min_size=1,
    max_size=6,
)


def by_the_twin(rows: list[dict[str, Any]], cap: str) -> tuple[str, int, int | None]:
    """State, L and U, one specimen at a time."""
    docket = reference._Docket(a_material(rows), [a_paper(caps=[cap])], Outlines(), HouseRules())
    linked = [docket._taken(specimen, Layer.COLLECTING, 0) for specimen in range(len(rows))]
    return cap_as_a_whole(linked, a_cap(cap), docket.classification)


@given(rows=ROWS, cap=st.sampled_from(CAPS))
def test_twin_says_the_same(rows: list[dict[str, Any]], cap: str) -> None:
    """The state; U where the limit is fullest, and L too if there is one number for all."""
    state, low, high = by_the_twin(rows, cap)
    found = totals(rows, a_paper(caps=[cap]))
    if not found:
        assert (state, low, high) == ("safe", 0, 0)
        return
    (total,) = found
    assert total.state == state
    if state != "breached":
        assert total.together[1] == high
    if cap.startswith("10") and "each" not in cap:
        assert total.together == (low, high)
