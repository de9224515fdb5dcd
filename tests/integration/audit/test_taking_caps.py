"""TRADE 7.4, questions 7 and 8: a species under a permit, and a year against what was allowed.

Numbers as VERDICTS 6 counts them: certain, possible, and the cap as a whole.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import SamplingEvent
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.papers.models import Paper, VersionCap, VersionTaxon
from tests.factories import register
from tests.integration.audit.put import column, put, told
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]

pytestmark = pytest.mark.django_db

UNIO: dict[str, Any] = {"kingdom": "Animalia", "order": "Unionida", "family": "Unionidae", "genus": "Unio"}


def _name(name: str) -> Any:
    higher = UNIO if name.startswith("Unio ") else {k: v for k, v in UNIO.items() if v != "Unio"}
    return register.written_name(name, **higher)


def _taken(
    number: str, name: str, day: str, low: int, high: int | None = -1, event: SamplingEvent | None = None
) -> None:
    counted = {"individual_count": str(low), "count_low": low, "count_high": low if high == -1 else high}
    register.specimen(f"LMN-{number}", name=_name(name), event=event or register.event(number, day), **counted)


@pytest.fixture(scope="module")
def register_of_caps(kept: None) -> None:
    """SPC-2019-031: 2019 to 2021, 10 Unio crassus in all and 20 Unionidae a year. All of it under one accession."""
    paper = register.paper("SPC-2019-031", kind="species-licence")
    version = register.version(paper, "2019-01-01", "2021-12-31")
    VersionTaxon.objects.create(version=version, name="Unionidae")
    VersionCap.objects.create(version=version, position=0, taxon="Unio crassus", limit=10)
    VersionCap.objects.create(version=version, position=1, taxon="Unionidae", per="year", limit=20)
    _taken("1", "Unio crassus", "2019-06-01", 4)
    _taken("2", "Unio crassus", "2020-06-01", 3)
    _taken("3", "Unio tumidus", "2020-06-02", 5)
    _taken("4", "Unionidae", "2020-06-03", 6, 9)  # the family: might be crassus
    _taken("5", "Unio crassus", "2022-06-01", 50)  # after the end: counts against nothing (date no)
    night = register.event(
        "6", "2019-12-31", event_date="2019-12-31/2020-01-01", latest_on=date(2020, 1, 1), reading="run"
    )
    _taken("6", "Unio tumidus", "", 2, event=night)
    accession = register.accession("other")
    register.specimen("LMN-7", accession=accession, name=_name("Unio crassus"), event=register.event("7", "2020-07-01"))
    register.link(paper, accession=SamplingEvent.objects.get(number="1").specimens.get().accession)
    register.version(register.paper("COL-2020-001"), "2020-01-01", None)  # in force, and sets no limit


@pytest.fixture
def counted(register_of_caps: None, db: None) -> None:
    """Made once for all tests."""


def test_a_species_its_limit_and_what_might_be_it(counted: None) -> None:
    """On file under the paper: 4 + 3 + 50. Against the limit of 10 count 4 + 3 for certain (LMN-5 is after the end),
    and up to 9 of the family: at least 7, at most 16, which is possible. The fullest year of the family is 2020:
    3 + 5 + 6 for certain, and with 9 in place of 6 and the night of New Year 19 at most: safe."""
    answer = put("species-under-paper", paper="SPC-2019-031", taxon="Unio crassus")
    assert column(answer, "name", "answer", "specimens", "least", "most") == [
        ("Unio crassus", "yes", 3, 57, 57), ("Unionidae", "might be: not identified far enough", 1, 6, 9),
    ]  # fmt: skip
    assert answer.sentence == (
        "Under SPC-2019-031 57 individuals of Unio crassus are on file (3 specimens). "
        "6 to 9 more are not identified far enough and might be it (1 specimen). "
        "Limit: at most 10 individuals of Unio crassus, all together, under the paper; counted against it with all "
        "else that counts: 7 to 16, may be above the limit. "
        "Limit: at most 20 individuals of Unionidae, all together, a calendar year; counted against it with all else "
        "that counts: 14 to 19, within the limit."
    )
    assert [one.count for one in answer.missing] == [1]


def test_a_taxon_without_limit_or_without_material(counted: None) -> None:
    none = put("species-under-paper", paper="COL-2020-001", taxon="Unio crassus")
    assert none.sentence == "Nothing that is, or might be, Unio crassus is on file under COL-2020-001."
    assert len(put("species-under-paper", paper="SPC-2019-031", taxon="Unionidae").rows) == 3


@pytest.mark.parametrize(("paper", "taxon", "wrong"), [
    ("SPC-2019-031", "", "taxon"), ("SPC-2019-031", "Margaritifera", "taxon"), ("SPC-9", "Unio", "paper"),
])  # fmt: skip
def test_unknown_values(counted: None, paper: str, taxon: str, wrong: str) -> None:
    with pytest.raises(UnknownValueError) as raised:
        put("species-under-paper", paper=paper, taxon=taxon)
    assert raised.value.parameter == wrong


def test_a_year_against_what_was_allowed(counted: None) -> None:
    """Taken in 2020, of everything on file: LMN-2, 3, 4 and 7 for certain: 3 + 5 + 6 + 1; with 9 in place of 6 and the
    2 of the night of New Year (LMN-6) 20 at most. The day of LMN-8 is not known: it is not passed over."""
    register.specimen("LMN-8", accession=register.accession("apart"), event=register.event("8", day=""))
    answer = put("taken-against-allowed", year=2020)
    columns = ("paper", "allowed", "least", "most", "all_least", "all_most", "left", "state")
    assert column(answer, *columns) == [
        # Of the year: LMN-2, and the family that might be it. In all 4 + 3, and up to 9 more.
        ("SPC-2019-031", 10, 3, 12, 7, 16, 0, "may be above the limit"),
        # 3 + 5 + 6 are of the year alone; the night of New Year may be of either.
        ("SPC-2019-031", 20, 14, 19, 14, 19, 1, "within the limit"),
    ]
    assert answer.sentence == (
        "15 to 20 individuals on file were taken in 2020 (5 specimens). 2 limits of 1 paper count something of 2020: "
        "1 may be above the limit and 1 within the limit."
    )
    assert any("1 paper in force in 2020 sets no limit" in note for note in answer.notes)
    assert answer.total == 1
    assert [one.count for one in answer.missing] == [1, 1]


def test_other_years(counted: None) -> None:
    """2019: LMN-1 and the night of New Year: 4 + 2 at most. The year of the day that is asked for is the default."""
    assert column(put("taken-against-allowed", year=2019), "allowed", "least", "most") == [(10, 4, 4), (20, 4, 6)]
    assert put("taken-against-allowed", on=date(2019, 3, 1)).rows == put("taken-against-allowed", year=2019).rows
    assert put("taken-against-allowed", year=2023).sentence == (
        "Nothing on file is known to have been taken in 2023. No limit of a paper counts anything of 2023."
    )
    with pytest.raises(UnknownValueError):
        put("taken-against-allowed", year="20")


def test_limits_of_restricted_papers_are_for_their_readers(counted: None) -> None:
    bits = role_bits([Role.COMPLIANCE])
    Paper.objects.filter(reference="SPC-2019-031").update(restricted_to=bits, restricted_why="nest sites")
    VersionCap.objects.filter(limit=10).update(limit=98765)
    year, species = (
        put("taken-against-allowed", year=2020), put("species-under-paper", paper="SPC-2019-031", taxon="Unio crassus"),
    )  # fmt: skip
    for answer in (year, species):
        assert not {"98765", "98,765"} & set(told(answer).split())
        assert len(answer.kept_back) == 1
    assert "98,765" in told(put("taken-against-allowed", Role.COMPLIANCE, year=2020))


def test_queries_do_not_grow_with_material(counted: None, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Up to 500 specimens, which the feed reads at once."""
    register.person(Role.REGISTRAR)
    put("taken-against-allowed", year=2020)  # a process keeps the classification that it has read once

    def asked() -> None:
        with django_assert_num_queries(39):
            put("taken-against-allowed", year=2020)
        with django_assert_num_queries(29):
            put("species-under-paper", paper="SPC-2019-031", taxon="Unio crassus")

    asked()
    for number in range(20, 30):
        _taken(str(number), "Unio tumidus", "2020-06-05", 1)
    asked()
