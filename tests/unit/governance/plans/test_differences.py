"""What differs between two versions of a plan: every field, by the words that people read.

Expected words are written out by hand. That no field is forgotten is shown against the models in
``tests/integration/plans/test_contents.py``.
"""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from governance.plans.queries.differences import Kind, PlanDifference, differences

SQUARE = json.dumps({"type": "Polygon", "coordinates": [[[15, 62], [15.1, 62], [15.1, 62.1], [15, 62.1], [15, 62]]]})
TRIANGLE = json.dumps({"type": "Polygon", "coordinates": [[[15, 62], [15.1, 62], [15.1, 62.1], [15, 62]]]})
OTHER_SQUARE = SQUARE.replace("15.1", "15.2")


def stop(key: int = 1, **values: Any) -> dict[str, Any]:
    return {
        "key": key, "name": f"Stop {key}", "country": "SE", "longitude_deg": 15.3, "latitude_deg": 61.95,
        "radius_m": 100.0, "area": "", "first_on": "2027-06-03", "last_on": "2027-06-05", "methods": "hand net",
        "people": "J. Ek", "remarks": "", "site": None, "way_home": None,
        "targets": [{"name": "Trichoptera", "kingdom": "", "expected": "400"}],
        "traps": [{"method": "Malaise trap", "number": 1, "first_on": "2027-06-03", "last_on": "2027-06-17"}],
    } | values  # fmt: skip


def way(key: int = 1, **values: Any) -> dict[str, Any]:
    return {
        "key": key, "from_country": "SE", "to_country": "GE", "exported_on": "2027-06-20", "imported_on": "",
        "transferred_on": "", "carrier": "", "cites": "",
    } | values  # fmt: skip


def plan(**values: Any) -> dict[str, Any]:
    return {
        "reference": "FP-1", "title": "Caddisflies", "leader": "J. Ek", "language": "en", "contacts": "", "remarks": "",
        "uses": ["morphology"], "stops": [stop(1), stop(2)], "ways_home": [way()], "papers": [], "decisions": [],
    } | values  # fmt: skip


def of(before: dict[str, Any], after: dict[str, Any]) -> list[tuple[str, str, str, str, str]]:
    return [(d.kind.value, d.subject, d.label, d.before, d.after) for d in differences(before, after)]


def test_the_same_plan_differs_in_nothing() -> None:
    assert differences(plan(), copy.deepcopy(plan())) == ()


@pytest.mark.parametrize(
    ("name", "value", "label", "before", "after"),
    [
        ("reference", "FP-2", "plan number", "FP-1", "FP-2"),
        ("title", "Mayflies", "title", "Caddisflies", "Mayflies"),
        ("leader", "", "led by", "J. Ek", ""),
        ("language", "fr", "language of the field pack", "English", "Français"),
        ("contacts", "M. Lind, 112", "whom to tell", "", "M. Lind, 112"),
        ("remarks", "Boots", "remarks", "", "Boots"),
        (
            "uses", ["morphology", "sequencing"], "uses meant for the material",
            "Study of form: sorting, naming, imaging",
            "Study of form: sorting, naming, imaging, DNA or RNA sequencing",
        ),
    ],
)  # fmt: skip
def test_each_field_of_the_face(name: str, value: Any, label: str, before: str, after: str) -> None:
    assert of(plan(), plan(**{name: value})) == [("changed", "The plan", label, before, after)]


@pytest.mark.parametrize(
    ("name", "value", "label", "before", "after"),
    [
        ("country", "GE", "country", "SE", "GE"),
        ("longitude_deg", 15.4, "longitude", "15.3", "15.4"),
        ("latitude_deg", None, "latitude", "61.95", ""),
        ("radius_m", 250.0, "radius (m)", "100", "250"),
        ("area", SQUARE, "drawn area", "", "an area of 4 corners"),
        ("first_on", "2027-06-01", "first day", "3 Jun 2027", "1 Jun 2027"),
        ("last_on", None, "last day", "5 Jun 2027", ""),
        ("methods", "hand net | light trap", "methods", "hand net", "hand net, light trap"),
        ("people", "", "people", "J. Ek", ""),
        ("remarks", "Ask the warden", "remarks", "", "Ask the warden"),
        ("site", {"key": 7, "code": "SE-1", "name": "Fen"}, "registered site", "", "SE-1 Fen"),
        ("way_home", 1, "way home", "the first of the plan", "SE to GE"),
    ],
)
def test_each_field_of_a_stop(name: str, value: Any, label: str, before: str, after: str) -> None:
    found = of(plan(), plan(stops=[stop(1), stop(2, **{name: value})]))

    assert found == [("changed", "Stop 2", label, before, after)]


def test_zero_is_a_place_and_not_a_blank() -> None:
    before, after = plan(stops=[stop(longitude_deg=None)]), plan(stops=[stop(longitude_deg=0.0)])

    assert of(before, after) == [("changed", "Stop 1", "longitude", "", "0")]


def test_a_renamed_stop_is_the_same_stop() -> None:
    found = of(plan(), plan(stops=[stop(1, name="Upper fen"), stop(2)]))

    assert found == [("changed", "Upper fen", "name", "Stop 1", "Upper fen")]


def test_a_stop_of_the_same_name_with_another_key_is_another_stop() -> None:
    found = of(plan(stops=[stop(1, name="Fen")]), plan(stops=[stop(9, name="Fen")]))

    assert [(kind, subject) for kind, subject, *_ in found] == [("added", "Fen"), ("removed", "Fen")]


def test_stops_that_come_and_go_are_told_in_a_line() -> None:
    found = of(plan(), plan(stops=[stop(2), stop(3, first_on=None)]))

    assert found == [
        ("added", "Stop 3", "stop", "", "until 5 Jun 2027, start not fixed; hand net"),
        ("removed", "Stop 1", "stop", "3–5 Jun 2027; hand net", ""),
    ]


def test_another_order_of_the_stops() -> None:
    found = of(plan(), plan(stops=[stop(2), stop(1)]))

    assert found == [("changed", "The plan", "order of the stops", "Stop 1, Stop 2", "Stop 2, Stop 1")]


@pytest.mark.parametrize(
    ("targets", "found"),
    [
        ([], [("removed", "target group", "Trichoptera: 400", "")]),
        (
            [{"name": "Trichoptera", "kingdom": "Animalia", "expected": ""}],
            [
                ("changed", "Trichoptera, kingdom", "", "Animalia"),
                ("changed", "Trichoptera, expected number", "400", ""),
            ],
        ),
        (
            [{"name": "Odonata", "kingdom": "", "expected": ""}],
            [
                ("removed", "target group", "Trichoptera: 400", ""),
                ("added", "target group", "", "Odonata: number not known"),
            ],
        ),
    ],
)
def test_groups(targets: list[dict[str, Any]], found: list[tuple[str, ...]]) -> None:
    seen = of(plan(stops=[stop()]), plan(stops=[stop(targets=targets)]))

    assert [(kind, label, before, after) for kind, _, label, before, after in seen] == found
    assert {subject for _, subject, *_ in seen} == {"Stop 1"}


def test_each_field_of_a_trap() -> None:
    moved = {"method": "Malaise trap", "number": 3, "first_on": "2027-06-04", "last_on": None}

    seen = of(plan(stops=[stop()]), plan(stops=[stop(traps=[moved])]))

    assert [row[2:] for row in seen] == [
        ("Malaise trap, how many", "1", "3"),
        ("Malaise trap, set on", "3 Jun 2027", "4 Jun 2027"),
        ("Malaise trap, emptied on", "17 Jun 2027", ""),
    ]


def test_a_second_trap_of_the_same_kind_is_added_alone() -> None:
    """The run that stays as it was is put aside first: otherwise both would seem to have changed."""
    first = stop()["traps"][0]
    second = {**first, "first_on": "2027-06-17", "last_on": "2027-07-01"}

    seen = of(plan(stops=[stop()]), plan(stops=[stop(traps=[second, first])]))

    assert [row[0] for row in seen] == ["added"]
    assert seen[0][4] == "1 × Malaise trap, 17 Jun – 1 Jul 2027"


def test_another_order_of_the_groups() -> None:
    one, other = ({"name": name, "kingdom": "", "expected": ""} for name in ("Odonata", "Trichoptera"))

    seen = of(plan(stops=[stop(targets=[one, other])]), plan(stops=[stop(targets=[other, one])]))

    assert seen == [("changed", "Stop 1", "order of: target group", "Odonata, Trichoptera", "Trichoptera, Odonata")]


@pytest.mark.parametrize(
    ("name", "value", "label", "before", "after"),
    [
        ("from_country", "NO", "export from", "SE", "NO"),
        ("to_country", "", "import to", "GE", ""),
        ("exported_on", "", "leaves the country on", "2027-06-20", ""),
        ("imported_on", "2027-06-21", "arrives on", "", "2027-06-21"),
        ("transferred_on", "June 2027", "changes hands on", "", "June 2027"),
        ("carrier", "by hand", "carrier", "", "by hand"),
        ("cites", "listed", "CITES", "", "With listed species"),
    ],
)
def test_each_field_of_a_way_home(name: str, value: Any, label: str, before: str, after: str) -> None:
    (seen,) = of(plan(), plan(ways_home=[way(**{name: value})]))

    assert seen[0] == "changed" and seen[1].startswith("Way home ") and seen[2:] == (label, before, after)


def test_ways_home_that_come_and_go() -> None:
    seen = of(plan(ways_home=[way(1)]), plan(ways_home=[way(2, from_country="", exported_on="")]))

    assert seen == [
        ("added", "Way home ? to GE", "way home", "", "no day yet"),
        ("removed", "Way home SE to GE", "way home", "2027-06-20", ""),
    ]


def test_papers_and_decisions_of_the_plan_and_of_a_stop() -> None:
    paper = {"paper": 4, "reference": "COL-4", "stop": None}
    decision = {"layer": 3, "stop": 2, "reason": "Outside the reserve.", "evidence": "Map of 2026"}

    come = of(plan(), plan(papers=[paper, {**paper, "stop": 1}], decisions=[decision]))
    gone = of(plan(papers=[paper], decisions=[decision]), plan())

    assert come == [
        ("added", "The plan", "paper linked", "", "COL-4"),
        ("added", "Stop 1", "paper linked", "", "COL-4"),
        ("added", "Stop 2", "no paper required for protected site", "", "Outside the reserve."),
    ]
    assert [row[:4] for row in gone] == [
        ("removed", "The plan", "paper linked", "COL-4"),
        ("removed", "Stop 2", "no paper required for protected site", "Outside the reserve."),
    ]


def test_a_decision_made_anew_for_another_reason() -> None:
    old = {"layer": 3, "stop": None, "reason": "Outside.", "evidence": "Map"}

    seen = of(plan(decisions=[old]), plan(decisions=[{**old, "reason": "Not protected.", "evidence": "Letter"}]))

    assert [row[2:] for row in seen] == [
        ("no paper required for protected site, not required because", "Outside.", "Not protected."),
        ("no paper required for protected site, evidence", "Map", "Letter"),
    ]


def test_another_area_of_as_many_corners_still_differs() -> None:
    """The words alone would be the same: that must not hide that the place is another."""
    (seen,) = differences(plan(stops=[stop(area=SQUARE)]), plan(stops=[stop(area=OTHER_SQUARE)]))

    assert seen == PlanDifference(
        Kind.CHANGED, "Stop 1", "drawn area", "an area of 4 corners", "another: an area of 4 corners"
    )
    (fewer,) = differences(plan(stops=[stop(area=SQUARE)]), plan(stops=[stop(area=TRIANGLE)]))
    assert (fewer.before, fewer.after) == ("an area of 4 corners", "an area of 3 corners")


def test_a_version_of_an_older_program_without_a_list_is_read() -> None:
    """A field that was added since is blank in it, not an error."""
    old = plan()
    for name in ("papers", "decisions", "ways_home", "contacts"):
        del old[name]
    del old["stops"][0]["remarks"]

    assert differences(old, plan(ways_home=[])) == ()
