"""TRADE 7.4, questions 3 and 4: collected outside the dates, and outside the area or not to be decided.

A permit for 1 May to 30 June 2024, in a disc of 500 m around 42.084 N, 43.903 E; what each specimen must come to is
derived beside it from VERDICTS 3 and 4.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import SamplingEvent, Specimen
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.engine.tables import Layer, Verdict
from governance.papers.models import VersionPlace
from governance.verdicts.actions.assessing import assess
from tests.factories import register
from tests.factories.verdicts import overruled
from tests.integration.audit.put import column, links, put, table
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]

pytestmark = pytest.mark.django_db


def _on(written: str, first: str, last: str, reading: str = "run") -> SamplingEvent:
    days: dict[str, Any] = {"earliest_on": date.fromisoformat(first), "latest_on": date.fromisoformat(last)}
    return register.event(day=first, event_date=written, reading=reading, **days)


def _at(latitude: str) -> SamplingEvent:
    degrees = float(latitude) if latitude else None
    position: dict[str, Any] = {"decimal_latitude": latitude, "latitude_deg": degrees}
    return register.event(**position if latitude else position | {"decimal_longitude": "", "longitude_deg": None})


@pytest.fixture(scope="module")
def register_of_all(kept: None) -> None:
    register.rule(register.sheet())
    permit = register.paper()
    version = register.version(permit, "2024-05-01", "2024-06-30")
    VersionPlace.objects.create(version=version, longitude_deg=43.903, latitude_deg=42.084, radius_m=500)
    events = {
        "LMN-1": register.event(),  # 17 June 2024, in the middle
        "LMN-2": _on("2024-07-10", "2024-07-10", "2024-07-10"),  # 30 June is the nearest valid day: 10 days
        "LMN-3": _on("2024-06-28/2024-07-02", "2024-06-28", "2024-07-02"),  # 28, 29, 30 of five days are valid
        "LMN-4": _on("2024", "2024-01-01", "2024-12-31", "vague"),  # 61 of 366 possible days: cannot be told
        # A degree of the meridian is 111,075 m at 42.09 N (WGS84): 0.009 degrees are 999.7 m, 499.7 m beyond the edge.
        "LMN-5": _at("42.093"),
        # 0.0044 degrees are 488.7 m: 11.3 m inside the edge, which a circle of 30 m touches.
        "LMN-6": _at("42.0884"),
        "LMN-7": _at(""),
    }
    for number, event in events.items():
        register.specimen(number, event=event)
    register.link(permit, accession=Specimen.objects.all()[0].accession)
    assess(by=None, why="first")


@pytest.fixture
def judged(register_of_all: None, db: None) -> None:
    """Made once for all tests."""


def test_days_off_and_why(judged: None) -> None:
    answer = put("outside-dates")
    assert column(answer, "specimen", "layer", "paper", "days", "reason", "verdict") == [
        ("LMN-2", "Collecting", "COL-2024-052", 10, "After the end date", 4),
        ("LMN-3", "Collecting", "COL-2024-052", 2, "The run crosses an end or a gap", 3),
    ]
    assert table(answer)[0]["why"] == "Collected 2024-07-10, 10 days after the end date of COL-2024-052."
    assert answer.sentence == (
        "The day of 1 specimen lies outside the dates of its papers, by 10 days. "
        "1 specimen comes from a run that crosses an end or a gap: some of its days were valid."
    )
    assert [one.count for one in answer.missing] == [1]  # LMN-4
    assert links(answer, "specimen")[0] == f"/specimens/{Specimen.objects.get(catalog_number='LMN-2').pk}/"
    assert answer.total == 2


def test_metres_from_the_line_and_how_well_known(judged: None) -> None:
    answer = put("outside-area")
    assert column(answer, "specimen", "answer", "distance", "uncertainty", "reason", "verdict") == [
        ("LMN-5", "outside", 500, 30, "Outside the area of the paper", 4),
        ("LMN-6", "cannot be decided", -11, 30, "At the edge of the area", 2),
        ("LMN-7", "cannot be decided", None, None, "No coordinates, place not named by the paper", 2),
    ]
    assert answer.sentence == (
        "1 specimen lies outside the area of its papers, the farthest by 500 m; "
        "of 2 specimens more it cannot be decided."
    )
    assert [one.count for one in answer.missing] == [1]  # LMN-7 has no position
    assert column(put("outside-area", show="undecided"), "specimen") == ["LMN-6", "LMN-7"]
    assert put("outside-area", show="outside").total == 1


def test_a_decision_beside_the_verdict_is_shown(judged: None) -> None:
    overruled(Specimen.objects.get(catalog_number="LMN-2"), Layer.COLLECTING, Verdict.COVERED)
    answer = put("outside-dates")
    assert column(answer, "specimen", "verdict")[0] == ("LMN-2", 0)
    assert any(note.startswith("Beside 1 of these verdicts") for note in answer.notes)


@pytest.mark.parametrize("key", ["outside-dates", "outside-area"])
def test_narrowed(judged: None, key: str) -> None:
    number = register.accession("LMN-2024-100").number
    narrowed: list[dict[str, Any]] = [{"accession": number}, {"country": "SE"}, {"layer": "land"}]
    for told in narrowed:
        answer = put(key, **told)
        assert (len(answer.rows), answer.total) == (0, 0), told
        assert answer.sentence.startswith("No specimen"), told
    assert len(put(key, country="GE", layer="collecting", accession="LMN-2024-038").rows) == len(put(key).rows)


@pytest.mark.parametrize("told", [{"accession": "Z"}, {"layer": "soil"}, {"show": "some"}])
def test_unknown_values(told: dict[str, Any], db: None) -> None:
    with pytest.raises(UnknownValueError) as raised:
        put("outside-area", **told)
    assert [raised.value.parameter] == list(told)


def test_queries_do_not_grow_with_rows(judged: None, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)

    def asked(key: str) -> int:
        with django_assert_num_queries(13):
            return len(list(put(key).rows.between(0, 50)))

    few = {key: asked(key) for key in ("outside-dates", "outside-area")}
    assert few == {"outside-dates": 2, "outside-area": 3}
    for number in range(6):
        register.specimen(f"LMN-2{number}", event=_on("2024-07-10", "2024-07-10", "2024-07-10"))
        register.specimen(f"LMN-3{number}", event=_at("42.093"))
    assess(by=None, why="more")
    assert {key: asked(key) for key in few} == {"outside-dates": 8, "outside-area": 9}
