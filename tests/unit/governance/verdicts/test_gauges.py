"""Gauges in percent: on which side of the edge the dot stands, and that metres and individuals are to scale."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from governance.engine.columns import unit_of
from governance.engine.tables import CODES, Finding
from governance.verdicts.gauges import Gauge, gauge_of


def metres(code: str, measure: float, against: float) -> Gauge:
    return gauge_of(Finding(code, measure, against, "m"))


def test_point_inside_the_edge_with_its_radius() -> None:
    """61 m inside, ±120 m. By hand: from -181 m (left) to 59 m (right), 240 m on 90 %: the edge at 5 + 181 * 0.375."""
    gauge = metres("area-edge", -61, 120)
    assert gauge.edges == [72.9]
    assert gauge.dot == 50.0
    assert gauge.whisk == (5.0, 90.0)
    assert gauge.terms == [(0.0, 72.9)]
    assert gauge.label == "61 m ± 120 m"


def test_point_outside_stands_beyond_the_edge() -> None:
    gauge = metres("outside-area", 412, 30)
    assert gauge.dot is not None and gauge.dot > gauge.edges[0]
    assert gauge.whisk is not None and gauge.whisk[0] > gauge.edges[0], "its whole reach is outside"


def test_excluded_place_is_hatched() -> None:
    gauge = metres("excluded-area", -80, 20)
    assert gauge.excluded and not gauge.terms
    assert gauge.dot is not None and gauge.dot < gauge.edges[0]


def test_waters_are_no_radius() -> None:
    """at-sea is held against 370400 m, which is no uncertainty of the position."""
    assert metres("at-sea", 1_000, 370_400).whisk is None


def test_days_after_and_before() -> None:
    after = gauge_of(Finding("after-end", 3, None, "days"), edge="14 Jun 2024", specimen="17 Jun 2024")
    before = gauge_of(Finding("before-start", 2, None, "days"), edge="14 Mar 2024", specimen="12 Mar 2024")
    assert after.dot is not None and after.dot > after.edges[0]
    assert before.dot is not None and before.dot < before.edges[0]
    assert after.label == "14 Jun 2024; 17 Jun 2024"


def test_share_of_the_days() -> None:
    """4 of 8 days: half of the 90 % between the margins of 5 %."""
    gauge = gauge_of(Finding("date-vague", 4, 8, "days"))
    assert gauge.terms == [(0, 50.0)]
    assert gauge.label == "4 / 8"


def test_individuals_beyond_the_limit() -> None:
    """12 counted, limit 10: the edge stands at 5 + 10/12 * 90 = 80 %."""
    gauge = gauge_of(Finding("cap-breached", 12, 10, "individuals"))
    assert gauge.edges == [80.0]
    assert gauge.dot == 95.0
    assert gauge.whisk is None
    assert gauge_of(Finding("cap-possible", 12, 10, "individuals")).whisk == (80.0, 15.0)


def test_without_a_measure_the_shape_still_speaks() -> None:
    assert gauge_of(Finding("not-searched")).terms == (), "no paper: a dot without a frame"
    assert gauge_of(Finding("taxon-broad")).whisk is not None, "cannot tell: a broken frame"
    beside = gauge_of(Finding("method"))
    assert beside.dot is not None and beside.dot > beside.edges[0], "no: beside the frame"


@given(
    st.sampled_from([code for code in CODES if code]),
    st.none() | st.floats(-1e6, 1e6),
    st.none() | st.floats(0, 1e6),
)
def test_everything_stays_on_the_drawing(code: str, measure: float | None, against: float | None) -> None:
    unit = unit_of(code)
    if measure is not None and unit != "m":
        measure = abs(measure)  # the contract gives a sign to distances alone
    gauge = gauge_of(Finding(code, measure, against, unit))
    places = [*gauge.edges, *(gauge.reach or ()), *(text.x for text in gauge.texts)]
    places += [end for left, width in (*gauge.terms, *gauge.excluded) for end in (left, left + width)]
    if gauge.whisk:
        places += [gauge.whisk[0], sum(gauge.whisk)]
    if gauge.dot is not None:
        places.append(gauge.dot)
    assert all(-0.2 <= place <= 100.2 for place in places)


@pytest.mark.parametrize("measure", [0.0, -0.0])
def test_point_on_the_edge(measure: float) -> None:
    gauge = metres("area-edge", measure, 0)
    assert gauge.dot == gauge.edges[0]
