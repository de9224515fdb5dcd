"""The check of places against published cases of containment, countries and borders, and over the zoo.

Rows of tests/data/geo_check_values.csv: containment (G069 to G082), country check (G083 to G091), border places (G092
to G125); each names its source there. Outlines are those of the project (Natural Earth), so the country rows test both.
"""

from __future__ import annotations

import itertools
import re
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely

from governance.engine import Assessment, Finding, HouseRules, Outlines, Verdict, assess
from governance.engine.areas import Area, Shapes
from governance.engine.reference import judge
from governance.engine.tables import Places
from tests.factories import zoo
from tests.factories.engine import a_material, a_paper, a_shape, some_outlines, some_requirements

ROWS = zoo.check_values()
DWC_BOX = "wkt POLYGON ((10 20, 11 20, 11 21, 10 21, 10 20))"
RFC_HOLE = "wkt POLYGON ((100 0, 101 0, 101 1, 100 1, 100 0), (100.8 0.8, 100.8 0.2, 100.2 0.2, 100.2 0.8, 100.8 0.8))"
RFC_SEAM = "box 170 40 -170 50"
FIJI = "box 177 -20 -178 -16"
POLAR = "box -180 60 180 90"


def answers(area: str, *points: tuple[float, float, float]) -> list[tuple[str, str]]:
    """Verdict and first finding of points (longitude, latitude, radius) under a paper over the area alone."""
    material = a_material([{"place": point} for point in points])
    assessment = assess(material, [a_paper(places=[area])], some_requirements())
    return [told(assessment, row) for row in range(len(points))]


def told(assessment: Assessment, row: int) -> tuple[str, str]:
    outcome = assessment.outcomes[0].spelled_out(int(assessment.outcome[row, 0]))
    return outcome.verdict.code, next((f.code for f in outcome.findings if f.code), "")


def findings(assessment: Assessment, row: int = 0) -> tuple[Finding, ...]:
    return assessment.outcomes[0].spelled_out(int(assessment.outcome[row, 0])).findings


YES, NO, EDGE = ("covered", ""), ("outside", "outside-area"), ("cannot-tell", "area-edge")


@pytest.mark.parametrize(
    ("number", "area", "point", "expected"),
    [
        ("G069", DWC_BOX, (10.5, 20.5, 30), YES),
        ("G070", DWC_BOX, (9.999, 20.5, 50), NO),
        ("G071", DWC_BOX, (9.999, 20.5, 150), EDGE),
        ("G072", DWC_BOX, (10.001, 20.5, 150), EDGE),
        ("G073", DWC_BOX, (20.5, 10.5, 30), NO),
        ("G073", DWC_BOX, (10.5, 20.5, 30), YES),
        ("G074", RFC_HOLE, (100.5, 0.5, 30), NO),
        ("G075", RFC_HOLE, (100.1, 0.5, 30), YES),
        ("G076", RFC_SEAM, (175, 45, 30), YES),
        ("G077", RFC_SEAM, (-175, 45, 30), YES),
        ("G078", RFC_SEAM, (180, 45, 30), YES),
        ("G078", RFC_SEAM, (-180, 45, 30), YES),
        ("G078", RFC_SEAM, (179.9999, 45, 5000), YES),  # the circle reaches over the seam
        ("G079", RFC_SEAM, (0, 45, 30), NO),
        ("G080", FIJI, (179, -17, 30), YES),
        ("G080", FIJI, (-179, -17, 30), YES),
        ("G081", FIJI, (0, -17, 30), NO),
        ("G082", POLAR, (0, 90, 30), YES),
        ("G082", POLAR, (123, 90, 30), YES),
    ],
)
def test_published_containment(number: str, area: str, point: tuple[float, float, float], expected: Any) -> None:
    assert number in ROWS
    assert answers(area, point) == [expected], ROWS[number]


def test_measure_outside_the_box_is_the_published_one() -> None:
    """G052: 104.313 m from 9.999 to the edge at 10 E, on 20.5 N."""
    material = a_material([{"place": (9.999, 20.5, 50.0)}])
    (found,) = findings(assess(material, [a_paper(places=[DWC_BOX])], some_requirements()))
    assert (found.code, found.against, found.unit) == ("outside-area", 50.0, "m")
    assert found.measure == pytest.approx(104.313, abs=1.0)


@cache
def natural_earth() -> Outlines:
    from governance.verdicts.check import outlines

    return outlines()


def stated(country: str, point: Any, paper: str = "") -> Assessment:
    """A point with a stated country, under a paper over a country (the stated one unless another is named)."""
    material = a_material([{"place": point, "country": country}])
    return assess(material, [a_paper(places=[f"country {paper or country}"])], some_requirements(), natural_earth())


def codes(assessment: Assessment) -> list[str]:
    return [finding.code for finding in findings(assessment)]


ANDES = (-71.5310546742521, -41.0525925872862, 30.0)


def test_g083_point_in_the_stated_country_is_no_mismatch() -> None:
    assert codes(stated("AR", ANDES)) == []


def test_g084_point_in_the_neighbouring_country_is_a_mismatch() -> None:
    assert "country-mismatch" in codes(stated("CL", ANDES))


def test_g085_point_off_the_coast_is_no_mismatch() -> None:
    """48 km offshore: its waters, or not; the answer is not known and the country not contradicted."""
    assert codes(stated("MX", (-94.4805934, 18.835941, 30.0))) == ["at-sea"]


@pytest.mark.parametrize(
    ("number", "country", "point"), [("G086", "AU", (135.87, 25.46, 30.0)), ("G087", "AW", (70.0, 12.5, 30.0))]
)
def test_reversed_sign_is_said_beside_the_mismatch(number: str, country: str, point: Any) -> None:
    """Proposed, never applied: the verdict is unknown, neither yes nor no."""
    assessment = stated(country, point)
    assert assessment.verdict[0, 0] == Verdict.CANNOT_TELL, ROWS[number]
    assert codes(assessment) == ["country-mismatch", "sign"]


def test_exchanged_axes_are_said_beside_the_mismatch() -> None:
    """G069 turned round for a country: Alice Springs (from memory: 23.70 S, 133.88 E) with the columns exchanged."""
    material = a_material(
        [{"place": (23.70, 33.88, 30.0), "country": "LY"}]
    )  # 23.70 E, 33.88 N is in the Gulf of Sidra
    assert "country-mismatch" not in codes(
        assess(material, [a_paper(places=["country LY"])], some_requirements(), natural_earth())
    )
    assert codes(stated("CR", (9.93, -84.08, 30.0))) == ["country-mismatch", "swapped"]


def test_g088_longitude_out_of_range_is_not_mended() -> None:
    """The reader hands 185.87 over as invalid: no sign is proposed for it."""
    assert codes(stated("AU", "invalid")) == ["coordinates-invalid"]


def test_g089_point_in_the_stated_province() -> None:
    material = a_material([{"place": (146.75, -42.85, 30.0), "country": "AU", "subdivision": "AU-TAS"}])
    paper = a_paper(places=["subdivision AU-TAS"])
    assert told(assess(material, [paper], some_requirements(), natural_earth()), 0)[0] == "covered"


def test_g090_point_in_another_province_is_outside_it() -> None:
    """The row is in Rio Negro (AR-R), not in Cordoba (AR-X); only a country is held against the coordinates."""
    material = a_material([{"place": ANDES, "country": "AR", "subdivision": "AR-X"}])
    papers = [a_paper(places=["subdivision AR-X"])]
    assert told(assess(material, papers, some_requirements(), natural_earth()), 0) == NO
    (found,) = findings(assess(material, [a_paper(places=["subdivision AR-R"])], some_requirements(), natural_earth()))
    assert found.code == "area-edge"  # the lake that is its border with Neuquen lies within the outline's 5 km
    assert -5030 < (found.measure or 0) < 0


def test_g091_zero_coordinates_are_no_place() -> None:
    """The reader gives no position for 0,0; what is left is the name of the country."""
    from accessions.values import read_position

    assert read_position(decimal_latitude="0", decimal_longitude="0").position == "none"
    assert read_position(decimal_latitude="0", decimal_longitude="-71.53").position == "point"
    assert read_position(decimal_latitude="-41.05", decimal_longitude="0").position == "point"
    assert codes(stated("CR", "")) == ["by-name"]


def border_places() -> list[tuple[str, str, tuple[float, float], float]]:
    """Number, country, longitude and latitude, uncertainty in metres."""
    found = []
    for number, row in ROWS.items():
        if row["category"] == "border place":
            latitude, longitude = (float(x) for x in re.findall(r"-?[\d.]+", row["point"].split("(")[0]))
            country, radius = re.match(r"([A-Z]{2}); with uncertainty (\d+) m", row["expectation"]).groups()  # type: ignore[union-attr]
            found.append((number, country, (longitude, latitude), float(radius)))
    return found


def test_there_are_border_places() -> None:
    assert len(border_places()) == 34


@pytest.mark.parametrize(("number", "country", "point", "radius_m"), border_places())
def test_border_place_is_not_told_by_a_generalised_outline(
    number: str, country: str, point: tuple[float, float], radius_m: float
) -> None:
    """Neither outside its own country nor in contradiction to it; and never inside the neighbour's, or its own, for
    certain: every place lies within radius + 5 km of a border."""
    own = stated(country, (*point, radius_m))
    assert told(own, 0)[0] == "cannot-tell", ROWS[number]
    assert set(codes(own)) & {"country-mismatch", "outside-area"} == set()


@pytest.mark.parametrize(("number", "country", "point", "radius_m"), border_places())
def test_border_place_is_not_outside_with_a_good_position(
    number: str, country: str, point: tuple[float, float], radius_m: float
) -> None:
    """With 30 m the outline's own 5 km still keep it from a no; nine of these lie on the wrong side of the outline."""
    own = stated(country, (*point, 30.0))
    assert told(own, 0)[0] in ("cannot-tell", "covered"), ROWS[number]
    assert "country-mismatch" not in codes(own)


# The zoo: whatever the creature, an answer that the law of the contract allows.


@pytest.mark.parametrize("name", zoo.SHAPES)
def test_zoo_agrees_with_the_twin(name: str) -> None:
    """Every awkward area with every awkward position; the twin is slow and obvious."""
    area = zoo.SHAPES[name]
    item = area if area.startswith("box") else f"wkt {area}"
    radii = (30.0, 50_000.0)
    material = a_material([{"place": (*p, r)} for p, r in itertools.product(zoo.POSITIONS.values(), radii)])
    papers = [a_paper(places=[item])]
    fast = assess(material, papers, some_requirements())
    slow = judge(material, papers, some_requirements(), Outlines(), HouseRules())
    for row, (where, radius) in enumerate(itertools.product(zoo.POSITIONS, radii)):
        expected = next(iter(slow[row].values()))
        assert told(fast, row)[0] == expected.verdict.code, (where, radius)
        assert [f.code for f in findings(fast, row)] == [f.code for f in expected.findings], (where, radius)


@pytest.mark.parametrize("name", zoo.SHAPES)
def test_more_uncertainty_only_unsettles(name: str) -> None:
    """A wider circle turns yes or no into unknown, and nothing else (a law that the contract implies)."""
    area = zoo.SHAPES[name]
    item = area if area.startswith("box") else f"wkt {area}"
    radii = [r for r in zoo.RADII_M if r == r]
    for where, point in zoo.POSITIONS.items():
        told_by_radius = [verdict for verdict, _ in answers(item, *((*point, r) for r in radii))]
        for narrow, wide in itertools.pairwise(told_by_radius):
            assert wide in (narrow, "cannot-tell"), (where, told_by_radius)


def test_half_the_equator_settles_nothing_but_the_whole_globe() -> None:
    """A circle of 20,037,509 m holds the globe."""
    wide = (10.5, 20.5, 20_037_509.0)
    assert answers(DWC_BOX, wide) == [EDGE]
    assert answers("box -180 -90 180 90", wide) == [YES]


def shapes(points: list[tuple[float, ...]]) -> tuple[Places, Shapes]:
    places = a_material([{"place": point} for point in points]).places
    return places, Shapes(places, HouseRules())


def test_touching_the_limit_is_not_inside() -> None:
    """The rule is "farther than": a radius equal to the distance touches, one a metre less does not (G052)."""
    _, three = shapes([(9.999, 20.5, 104.31), (9.999, 20.5, 103.3), (9.999, 20.5, 105.4)])
    relation = Area.of_shape(a_shape(zoo.SHAPES["box of the Darwin Core example"]), 0.0).relate(three, np.arange(3))
    assert relation.apart.tolist() == [True, True, False]
    exact = relation.signed_m[0]
    _, equal = shapes([(9.999, 20.5, float(exact))])
    again = Area.of_shape(a_shape(zoo.SHAPES["box of the Darwin Core example"]), 0.0).relate(equal, np.arange(1))
    assert (again.apart.tolist(), again.within.tolist()) == ([False], [False])


def test_error_of_the_boundary_is_added_to_the_radius() -> None:
    """104.3 m outside with a radius of 50 m: outside of an exact boundary, at the edge of one known to 60 m."""
    exact = a_paper(places=["error 0 " + DWC_BOX])
    known_to_60_m = a_paper(places=["error 60 " + DWC_BOX])
    material = a_material([{"place": (9.999, 20.5, 50.0)}])
    assert told(assess(material, [exact], some_requirements()), 0) == NO
    assert told(assess(material, [known_to_60_m], some_requirements()), 0) == EDGE


def test_edge_between_two_included_places_is_no_edge() -> None:
    material = a_material([{"place": (10.0, 20.5, 500.0)}])
    halves = a_paper(places=["box 9 20 10 21", "box 10 20 11 21"])
    assert told(assess(material, [halves], some_requirements()), 0) == YES
    west = a_paper(places=["box 9 20 10 21"])
    assert told(assess(material, [west], some_requirements()), 0) == EDGE


def test_footprint_is_judged_whole() -> None:
    """Its stated point inside does not save a footprint that reaches out."""
    rows: list[Any] = [
        {"place": "box 10.2 20.2 10.4 20.4"},
        {"place": "box 10.8 20.2 11.2 20.4", "centre": (10.85, 20.3)},
        {"place": "box 12 20 13 21"},
        {"place": "LINESTRING (10.2 20.2, 10.9 20.9)"},
    ]
    assessment = assess(a_material(rows), [a_paper(places=[DWC_BOX])], some_requirements())
    assert [told(assessment, row) for row in range(4)] == [YES, EDGE, NO, YES]


def test_footprint_around_the_area_is_not_outside() -> None:
    """It holds the whole area, and no edge of it comes near one of the area's."""
    assessment = assess(a_material([{"place": "box 9 19 12 22"}]), [a_paper(places=[DWC_BOX])], some_requirements())
    assert told(assessment, 0) == EDGE


def test_footprint_across_the_antimeridian() -> None:
    """West of Fiji's eastern edge at 178 W, on both sides of the seam."""
    rows = [{"place": "box 179.5 -18 -179.5 -17"}, {"place": "box 179.5 -18 -177 -17"}]
    assessment = assess(a_material(rows), [a_paper(places=[FIJI])], some_requirements())
    assert [told(assessment, row) for row in range(2)] == [YES, EDGE]


def test_stated_point_of_a_footprint_is_where_it_is_measured_from() -> None:
    """0.5 degrees of longitude on the equator are 55,659.7 m (half of G046)."""
    rows = [{"place": "box 2 -0.1 2.4 0.1", "centre": (1.5, 0.0)}]
    (found,) = findings(assess(a_material(rows), [a_paper(places=["box 0 -5 1 5"])], some_requirements()))
    assert found.code == "outside-area"
    assert found.measure == pytest.approx(111_319.491 / 2, abs=1.0)


def test_excluded_circle_is_measured_from_its_rim() -> None:
    """0.01 degrees of longitude on the equator are 1,113.195 m (G046); the circle has 1000 m."""
    paper = a_paper(places=["box -1 -1 1 1"], not_places=["disc 0 0 1000"])
    rows: list[Any] = [{"place": (0.01, 0.0, 30.0)}, {"place": (0.01, 0.0, 200.0)}, {"place": (0.001, 0.0, 30.0)}]
    assessment = assess(a_material(rows), [paper], some_requirements())
    assert [told(assessment, row) for row in range(3)] == [
        YES, ("cannot-tell", "exclusion-edge"), ("outside", "excluded-area")
    ]  # fmt: skip
    assert findings(assessment, 1)[0].measure == pytest.approx(113.195, abs=1.0)
    assert findings(assessment, 2)[0].measure == pytest.approx(111.3195 - 1000, abs=1.0)


def test_country_without_an_outline_is_not_mapped() -> None:
    material = a_material([{"place": (10.5, 20.5, 30.0)}])
    paper = a_paper(places=["country XA"])
    assert told(assess(material, [paper], some_requirements(), some_outlines()), 0) == (
        "cannot-tell",
        "area-not-mapped",
    )


def test_shapes_of_the_zoo_are_valid() -> None:
    """The zoo keeps awkward areas, not faulty ones: those are refused before they reach the engine."""
    assert [name for name, text in zoo.SHAPES.items() if not shapely.is_valid(a_shape(text))] == []
