"""Faults that generated registers found in the engine, each in its smallest form, one a test.

Every case is judged by the twin too: what is expected here is what the contract says, not what either of them gives.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import shapely

from governance.engine import assess, pairs, reference, unfold
from governance.engine.tables import EngineError, HouseRules, Layer, LayerVerdict, Outlines, Paper, SearchState, Verdict
from tests.factories.engine import Row, a_material, a_paper, a_shape, some_requirements

Judge = Callable[..., list[dict[Layer, LayerVerdict]]]

NO_OUTLINES = Outlines()

judged_by_both = pytest.mark.parametrize(
    "judge", [lambda *case: unfold(assess(*case)), reference.judge], ids=["engine", "twin"]
)


def first_verdict(judge: Judge, rows: list[Row], papers: list[Paper], outlines: Outlines = NO_OUTLINES) -> LayerVerdict:
    """The verdict on collecting of the first of some specimens."""
    judged = judge(
        a_material(rows), papers, some_requirements("collecting"), outlines, HouseRules(), SearchState.NOT_SEARCHED
    )
    return judged[0][Layer.COLLECTING]


def codes(verdict: LayerVerdict) -> list[str]:
    return [verdict.verdict.code, *(finding.code for finding in verdict.findings)]


@judged_by_both
def test_a_homonym_takes_no_family_of_one_of_its_kingdoms(judge: Judge) -> None:
    """A bare "Oenanthe" may be the bird: that only the plant's record names a family does not make it a plant.

    Section 5: the rank of the included name is blank in the path, so that it could be inside. A false "covered".
    """
    rows: list[Row] = [
        {"taxon": "genus:Oenanthe"},
        {"taxon": "Plantae>Apiaceae>Oenanthe"},
        {"taxon": "Animalia>genus:Oenanthe"},
    ]
    assert codes(first_verdict(judge, rows, [a_paper(taxa=["Apiaceae"])])) == ["cannot-tell", "taxon-broad"]


@judged_by_both
def test_the_centre_of_a_footprint_across_the_antimeridian_lies_in_it(judge: Judge) -> None:
    """Section 4: without a stated point the centre is the mean of the vertices, here 180 E, not 0 E.

    From 180 E 0 N to the area's edge at 170 E: 10 degrees of longitude on the equator, 1,113,195 m (check value G046
    of tests/data/geo_check_values.csv, times ten).
    """
    rows: list[Row] = [{"place": "box 179.9 -0.1 -179.9 0.1"}]
    verdict = first_verdict(judge, rows, [a_paper(places=["box 160 -5 170 5"])])
    assert codes(verdict) == ["outside", "outside-area"]
    assert verdict.findings[0].measure == pytest.approx(1_113_195, rel=0.005)


@judged_by_both
def test_a_footprint_far_from_a_circle_about_a_pole_is_outside_it(judge: Judge) -> None:
    """Section 4: farther than radius and error from the included place is "outside-area", whatever the circle holds."""
    verdict = first_verdict(judge, [{"place": "box 0.9 -0.1 1.1 0.1"}], [a_paper(places=["disc 0 90 4000"])])
    assert codes(verdict) == ["outside", "outside-area"]


@judged_by_both
def test_a_footprint_far_from_an_excluded_circle_about_a_pole_does_not_touch_it(judge: Judge) -> None:
    rows: list[Row] = [{"place": "box 0.9 -0.1 1.1 0.1"}]
    verdict = first_verdict(judge, rows, [a_paper(places=["box 0 -1 2 1"], not_places=["disc 0 90 4000"])])
    assert codes(verdict) == ["covered"]


@judged_by_both
def test_a_footprint_within_a_circle_about_a_pole_is_covered(judge: Judge) -> None:
    rows: list[Row] = [{"place": "box 10 89.99 11 89.995"}]
    assert codes(first_verdict(judge, rows, [a_paper(places=["disc 0 90 40000"])])) == ["covered"]


NARROW, OVERSEAS = a_shape("box 0 40 5 50"), a_shape("box -54 2 -51 6")
FRANCE = Outlines({"FR": NARROW, "GF": OVERSEAS}, stated={"FR": shapely.union(NARROW, OVERSEAS), "GF": OVERSEAS})


@judged_by_both
def test_a_site_by_name_is_not_covered_where_an_excluded_country_may_reach(judge: Judge) -> None:
    """The paper names the site and excludes FR; S lies in what only the wide reading of FR holds.

    Decision record 1: an excluded country is unmapped there, and what is excluded and unmapped is "area-not-mapped",
    whatever the specimen names. A false "covered".
    """
    rows: list[Row] = [{"place": (-53.0, 4.0, 30.0), "site": "S-1"}]
    papers = [a_paper(places=["site S-1"], not_places=["country FR"])]
    assert codes(first_verdict(judge, rows, papers, FRANCE)) == ["cannot-tell", "area-not-mapped"]


@judged_by_both
def test_a_site_by_name_is_covered_far_from_an_excluded_country(judge: Judge) -> None:
    """The doubt of the test above ends where no reading of the excluded country reaches."""
    rows: list[Row] = [{"place": (-70.0, 4.0, 30.0), "site": "S-1"}]
    papers = [a_paper(places=["site S-1"], not_places=["country FR"])]
    assert codes(first_verdict(judge, rows, papers, FRANCE)) == ["covered", "by-name"]


@judged_by_both
def test_areas_that_join_to_the_whole_earth_have_no_edge(judge: Judge) -> None:
    """Section 7.4: all but a place, and that place, leave no edge that could be near. The engine raised ValueError."""
    papers = [
        a_paper("A", places=["box -180 -90 180 90"], not_places=["country NI"]),
        a_paper("B", places=["country NI"]),
    ]
    outlines = Outlines({"NI": a_shape("box 1 -1 3 1")})
    verdict = first_verdict(judge, [{"place": (1.0, 0.0, 500.0)}], papers, outlines)
    assert codes(verdict) == ["covered"]
    assert verdict.papers == (0, 1)


@judged_by_both
def test_areas_do_not_join_where_an_excluded_country_may_reach(judge: Judge) -> None:
    """S lies on the border between FR and land that only the wide reading of FR holds, and A excludes FR.

    B covers the part in FR; A cannot say whether it excludes the other part, and nobody else covers it.
    """
    own, doubtful = a_shape("box 0 40 5 50"), a_shape("box 5 40 6 50")
    outlines = Outlines({"FR": own}, boundary_error_m=0.0, stated={"FR": shapely.union(own, doubtful)})
    papers = [
        a_paper("A", places=["box -20 30 20 60"], not_places=["country FR"]),
        a_paper("B", places=["box 0 40 5 50"]),
    ]
    verdict = first_verdict(judge, [{"place": (5.0, 45.0, 500.0)}], papers, outlines)
    assert verdict.verdict == Verdict.CANNOT_TELL


@judged_by_both
def test_two_plots_that_meet_leave_no_edge_between_them(judge: Judge) -> None:
    """S lies 33 m inside plot A, whose edges are known to 40 m, and outside plot B, whose edges are exact.

    Section 7.4: areas may join, and "outside-area" is among the codes that can be joined away; section 4: an edge
    between two places that meet is no edge of P. Every other edge is a kilometre away or more.
    """
    papers = [a_paper("A", places=["box 0 -1 1 1 error 40"]), a_paper("B", places=["box 1 -1 2 1"])]
    verdict = first_verdict(judge, [{"place": (0.9997, 0.0, 10.0)}], papers)
    assert codes(verdict) == ["covered"]
    assert verdict.papers == (0, 1)


@judged_by_both
def test_a_paper_that_excludes_the_site_by_name_joins_no_other(judge: Judge) -> None:
    """A holds the point but excludes its site, which is not mapped; B alone leaves it near an edge known to 40 m.

    Section 4: a site that the paper excludes is a no, and nobody allows what A excludes. A false "covered".
    """
    papers = [
        a_paper("A", places=["box -20 -20 20 20"], not_places=["site bog"]),
        a_paper("B", places=["box 0 -1 1 1 error 40"]),
    ]
    rows: list[Row] = [{"place": (0.9997, 0.0, 10.0), "site": "bog"}]
    assert codes(first_verdict(judge, rows, papers)) == ["cannot-tell", "area-edge"]


@judged_by_both
def test_a_permit_of_import_does_not_keep_two_of_export_from_joining(judge: Judge) -> None:
    """Section 7.4: papers that touch the interval may join; the day of arrival is another interval (section 2).

    The twin let all joinable papers be held against one date, or none join: a false alarm.
    """
    rows: list[Row] = [{"exported": "2023-05-30/2023-06-02", "imported": "2023-05-29/2023-06-02"}]
    papers = [
        a_paper(reference="A", layers="cites", kind="cites-import-permit", end="2023-05-31"),
        a_paper(reference="B", layers="cites", end="2023-05-31"),
        a_paper(reference="C", layers="cites", start="2023-06-01"),
    ]
    material, wanted = a_material(rows), some_requirements("cites")
    judged = judge(material, papers, wanted, NO_OUTLINES, HouseRules(), SearchState.NOT_SEARCHED)
    verdict = judged[0][Layer.CITES]
    assert (codes(verdict), verdict.papers) == (["covered"], (1, 2))


def test_a_version_that_ends_before_it_starts_is_an_error() -> None:
    def judge(*case: Any) -> list[dict[Layer, LayerVerdict]]:
        return unfold(assess(*case))

    with pytest.raises(EngineError, match="P-9: a version ends before it starts"):
        first_verdict(judge, [{}], [a_paper(reference="P-9", start="2023-05-02", end="2023-05-01")])
    one_day = a_paper(start="2023-05-01", end="2023-05-01")
    assert codes(first_verdict(judge, [{"date": "2023-05-01"}], [one_day])) == ["covered"]


def test_a_circle_about_a_pole_joins_with_no_other_area() -> None:
    """Section 7.4 would let them join; the engine draws no such circle, and then says that it cannot tell.

    From 89.895 N to the circle's edge some 270 m, to the edge of the box at 89.9 N some 560 m; the radius is 700 m.
    """
    rows: list[Row] = [{"place": (50, 89.895, 700)}]
    papers = [a_paper(places=["disc 0 90 12000"]), a_paper(places=["box -180 80 180 89.9"])]
    verdict = first_verdict(lambda *case: unfold(assess(*case)), rows, papers)
    assert codes(verdict) == ["cannot-tell", "area-edge"]


def test_relations_that_memory_would_not_hold_are_asked_for_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """How much is kept between questions changes no answer."""
    rows: list[Row] = [{"place": (0.1 * n, 0, 20_000)} for n in range(-12, 13)]
    shared = "box 0 -1 1 1"
    papers = [
        a_paper(places=[shared]), a_paper(places=["box 1 -1 2 1", shared], not_places=["disc 0.5 0 9000"]),
        a_paper(places=["box -1 -1 0 1"], start="2023-06-01"),
    ]  # fmt: skip
    case = (a_material(rows), papers, some_requirements("collecting"), NO_OUTLINES, HouseRules())
    kept = unfold(assess(*case))
    monkeypatch.setattr(pairs, "_KEPT_AT_MOST", 0)
    assert unfold(assess(*case)) == kept
    assert {one[Layer.COLLECTING].verdict for one in kept} == {Verdict.COVERED, Verdict.CANNOT_TELL, Verdict.OUTSIDE}


@judged_by_both
def test_many_points_far_inside_an_area_are_all_inside(judge: Judge) -> None:
    """However many are asked about at once, each is held against the edges by itself."""
    rows: list[Row] = [{"place": (0.1 * n, 0, 30)} for n in range(-40, 41)]
    case = (a_material(rows), [a_paper(places=["box -5 -5 5 5"])], some_requirements("collecting"), NO_OUTLINES)
    judged = judge(*case, HouseRules(), SearchState.NOT_SEARCHED)
    assert {one[Layer.COLLECTING].verdict for one in judged} == {Verdict.COVERED}
