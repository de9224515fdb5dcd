"""A file of specimens goes into the register whole, once, with its history."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from django.apps import apps

from accessions.intake.actions import load_file
from accessions.intake.kept import KEPT
from accessions.intake.models import Batch
from accessions.intake.problems import FileProblems
from accessions.intake.register import Known
from accessions.intake.specimens import read_specimens
from accessions.material.models import Accession, Determination, SamplingEvent, Specimen, Touch
from accessions.names.models import Taxon, WrittenName
from accessions.people.models import User
from accessions.sites.models import Site

pytestmark = pytest.mark.django_db

FIXTURES = Path(__file__).parents[3] / "fixtures"
LINDMARK = FIXTURES / "lindmark_specimens.csv"


@pytest.fixture
def curator() -> User:
    return User.objects.create_user("curator", role="curator")


@pytest.fixture
def csv(tmp_path: Path) -> Callable[..., Path]:
    """Writes a small CSV file from lines; each call another file name."""
    written: list[Path] = []

    def write(*lines: str) -> Path:
        path = tmp_path / f"file-{len(written)}.csv"
        written.append(path)
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return path

    return write


def everything_counted() -> dict[str, int]:
    """Rows of every table of facts, history tables included, and of the batches."""
    labels = ("material", "names", "sites", "intake")
    return {model._meta.label: model._default_manager.count() for label in labels
            for model in apps.get_app_config(label).get_models()}  # fmt: skip


def test_the_lindmark_file_fills_the_register(curator: User) -> None:
    """417 rows in 7 accessions by the table of fixtures/README.md; its first row is pinned cell by cell."""
    load_file(LINDMARK, by=curator, why="first load")

    assert Specimen.objects.count() == 417
    assert sorted(Accession.objects.values_list("number", flat=True)) == [
        "LMN-2019-112", "LMN-2020-045", "LMN-2021-004", "LMN-2022-057", "LMN-2024-019", "LMN-2024-038", "LMN-2026-071",
    ]  # fmt: skip
    assert Accession.objects.get(number="LMN-2019-112").specimens.count() == 82  # rows 1 to 82
    first = Specimen.objects.get(catalog_number="LMN-FW-0198300")
    assert (first.individual_count, first.life_stage, first.count_low, first.count_high) == ("3", "larva", 3, 3)
    assert first.event.event_date == "2019-06-18"
    assert str(first.event.earliest_on) == str(first.event.latest_on) == "2019-06-18"
    assert (first.event.latitude_deg, first.event.longitude_deg, first.event.radius_m) == (61.9617, 15.3051, 30)
    assert first.event.site is not None and first.name.taxon is not None
    assert (first.event.site.code, first.event.site.name) == ("SE-HAL-1", "Hällsjön, north bay")
    assert first.event.recorded_by == "J. Ek | I. Holmqvist"
    assert first.name.shown == "Calopteryx splendens"
    assert first.name.taxon.lineage == (
        "animalia|arthropoda|insecta|odonata|calopterygidae|calopteryx|calopteryx splendens|"
    )
    assert first.delivery is None


def test_the_register_holds_the_texts_that_a_check_of_the_file_judges(curator: User) -> None:
    """A verdict of the register is that of a check of the file, since both read the same cells (decision 3)."""
    load_file(LINDMARK, by=curator, why="first load")
    table = read_specimens(LINDMARK)
    terms = [term for term in table.columns if term in KEPT]

    recorded = {row["catalogNumber"]: row for row in Known().written(all_keys()).values()}

    for index, number in enumerate(table.columns["catalogNumber"]):
        stated = {term: table.columns[term][index] for term in terms}
        assert {term: recorded[number][term] for term in terms} == stated, number


def all_keys() -> list[int]:
    return list(Specimen.objects.values_list("pk", flat=True))


def test_every_specimen_has_one_current_determination_of_its_name(curator: User) -> None:
    load_file(LINDMARK, by=curator, why="first load")

    named = Determination.objects.filter(is_current=True).values_list("specimen_id", "name_id")

    assert sorted(named) == sorted(Specimen.objects.values_list("pk", "name_id"))


def test_history_says_who_and_why_for_every_row(curator: User) -> None:
    load_file(LINDMARK, by=curator, why="first load")

    for model in (Specimen, Determination, SamplingEvent, Accession, Site, Taxon):
        history = model.history.all()
        assert history.count() == model.objects.count()
        assert set(history.values_list("history_type", "history_user", "history_change_reason")) == {
            ("+", curator.pk, "first load")
        }
    one = Specimen.objects.earliest("pk")
    assert one.history.get().instance.digest == one.digest


def test_the_same_file_again_changes_nothing(curator: User) -> None:
    first = load_file(LINDMARK, by=curator, why="first load")
    before = everything_counted()

    again = load_file(LINDMARK, by=curator, why="second load")

    assert again.pk == first.pk
    assert everything_counted() == before


def test_the_same_rows_in_another_file_change_nothing_but_the_list_of_files(curator: User, tmp_path: Path) -> None:
    """Saved anew (here: with a blank line at its end) a file has another hash but the same rows."""
    load_file(LINDMARK, by=curator, why="first load")
    before = everything_counted()
    anew = tmp_path / "anew.csv"
    anew.write_bytes(LINDMARK.read_bytes() + b"\r\n")

    batch = load_file(anew, by=curator, why="second load")

    after = everything_counted()
    assert (batch.summary["new"], batch.summary["same"], batch.summary["changed"]) == (0, 417, 0)
    assert {name for name in after if after[name] != before[name]} == {"intake.Batch", "intake.HistoricalBatch"}


def test_verdicts_are_told_to_look_again(curator: User, csv: Callable[..., Path]) -> None:
    """Few specimens are marked one by one, and new names as such."""
    load_file(csv("catalogNumber,accessionNumber,scientificName", "A-1,ACC,Aedes aegypti"), by=curator, why="load")

    specimen = Specimen.objects.get()
    assert set(Touch.objects.values_list("scope", "key")) == {("specimen", specimen.pk), ("names", 0)}


def test_rows_without_accession_go_to_the_one_named(curator: User, csv: Callable[..., Path]) -> None:
    load_file(csv("catalogNumber", "A-1", "A-2"), by=curator, why="load", accession_number="ACC-1")

    assert Accession.objects.get().specimens.count() == 2


def test_rows_without_accession_are_refused_by_row(curator: User, csv: Callable[..., Path]) -> None:
    with pytest.raises(FileProblems) as caught:
        load_file(csv("catalogNumber,accessionNumber", "A-1,ACC", "A-2,"), by=curator, why="load")

    (problem,) = caught.value.problems
    assert problem.where == 'row 3, column "accessionNumber"'
    assert "names no accession" in problem.found
    assert not Specimen.objects.exists() and not Batch.objects.exists()


def test_equal_rows_without_a_number_are_told_apart_by_their_count(curator: User, csv: Callable[..., Path]) -> None:
    """Two equal rows are two things; of three in a later file, one is new."""
    header, row = "accessionNumber,eventDate,scientificName", "ACC,2020-06-01,Aedes aegypti"
    load_file(csv(header, row, row), by=curator, why="load")

    batch = load_file(csv(header, row, row, row), by=curator, why="load")

    assert (batch.summary["same"], batch.summary["new"]) == (2, 1)
    assert Specimen.objects.count() == 3
    assert SamplingEvent.objects.count() == WrittenName.objects.count() == 1


def test_a_number_twice_in_a_file_is_refused_on_both_rows(curator: User, csv: Callable[..., Path]) -> None:
    with pytest.raises(FileProblems) as caught:
        load_file(csv("catalogNumber,accessionNumber", "A-1,ACC", "A-2,ACC", "A-1,ACC"), by=curator, why="load")

    assert [problem.where for problem in caught.value.problems] == [
        'row 2, column "catalogNumber"', 'row 4, column "catalogNumber"',
    ]  # fmt: skip
    assert '"A-1" stands in row 4 too' in caught.value.problems[0].found


def test_a_number_of_another_accession_is_refused_and_says_which(curator: User, csv: Callable[..., Path]) -> None:
    load_file(csv("catalogNumber,accessionNumber", "A-1,ACC-1"), by=curator, why="load")

    with pytest.raises(FileProblems) as caught:
        load_file(csv("catalogNumber,accessionNumber", "A-1,ACC-2"), by=curator, why="load")

    assert '"A-1" is recorded in accession ACC-1, not in ACC-2' in str(caught.value)
    assert not Accession.objects.filter(number="ACC-2").exists()


def test_long_texts_are_errors_of_their_row(curator: User, csv: Callable[..., Path]) -> None:
    """What a database would refuse is refused before, with the row, on SQLite and PostgreSQL alike."""
    with pytest.raises(FileProblems) as caught:
        load_file(csv("catalogNumber,accessionNumber", "A-1,ACC", f"{'A' * 201},ACC"), by=curator, why="load")

    (problem,) = caught.value.problems
    assert problem.where == 'row 3, column "catalogNumber"' and "201 characters" in problem.found


def test_parts_name_the_specimen_they_were_taken_from(curator: User, csv: Callable[..., Path]) -> None:
    load_file(
        csv("catalogNumber,accessionNumber,takenFrom,preparations", "A-1-leg,ACC,A-1,leg", "A-1,ACC,,"),
        by=curator, why="load",
    )  # fmt: skip

    leg = Specimen.objects.get(catalog_number="A-1-leg")
    assert leg.parent is not None
    assert (leg.kind, leg.parent.catalog_number, leg.preparation) == ("part", "A-1", "leg")


def test_deliveries_are_the_distinct_days_of_an_accession(curator: User, csv: Callable[..., Path]) -> None:
    load_file(
        csv("catalogNumber,accessionNumber,exportedOn,importedOn", "A-1,ACC,2024-03-01,2024-03-04",
            "A-2,ACC,2024-03-01,2024-03-04", "A-3,ACC,2024-05-01,", "A-4,ACC,,"),
        by=curator, why="load",
    )  # fmt: skip

    found = Specimen.objects.values_list("catalog_number", "delivery__number", "delivery__exported_on")
    assert sorted(found) == [
        ("A-1", 1, "2024-03-01"), ("A-2", 1, "2024-03-01"), ("A-3", 2, "2024-05-01"), ("A-4", None, None),
    ]  # fmt: skip


def test_a_code_makes_a_new_site_even_where_a_name_is_shared(curator: User, csv: Callable[..., Path]) -> None:
    load_file(
        csv("catalogNumber,accessionNumber,locationID,siteName,countryCode", "A-1,ACC,S-1,North bay,SE",
            "A-2,ACC,s-1 ,North bay,SE", "A-3,ACC,S-2,North bay,SE", "A-4,ACC,,The weir,GE", "A-5,ACC,,the WEIR,GE"),
        by=curator, why="load",
    )  # fmt: skip

    found = Specimen.objects.values_list("catalog_number", "event__site__code")
    assert sorted(found) == [
        ("A-1", "S-1"), ("A-2", "S-1"), ("A-3", "S-2"), ("A-4", "The weir"), ("A-5", "The weir"),
    ]  # fmt: skip
    assert set(Site.objects.values_list("code", "name", "country", "code_key")) == {
        ("S-1", "North bay", "SE", "s-1"), ("S-2", "North bay", "SE", "s-2"), ("The weir", "", "GE", "the weir"),
    }  # fmt: skip


def test_dates_outside_the_calendar_of_the_database_leave_open_ends(curator: User, csv: Callable[..., Path]) -> None:
    load_file(
        csv("catalogNumber,accessionNumber,eventDate", "A-1,ACC,../1950", "A-2,ACC,03/04/2020", "A-3,ACC,"),
        by=curator, why="load",
    )  # fmt: skip

    found = Specimen.objects.order_by("catalog_number").values_list(
        "event__reading", "event__earliest_on", "event__latest_on"
    )
    readings = [(reading, first and str(first), last and str(last)) for reading, first, last in found]
    assert readings == [("vague", None, "1950-12-31"), ("unreadable", None, None), ("missing", None, None)]
