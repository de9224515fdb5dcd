"""TRADE 7.4, questions 22 (arrival to accession) and 24 (verdicts after a determination)."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Determination, Specimen
from accessions.people.history import record
from accessions.people.models import Role
from governance.verdicts.models import Run
from tests.factories import register
from tests.factories import verdicts as verdicts_factory
from tests.factories.verdicts import judged
from tests.integration.audit.put import column, put

pytestmark = pytest.mark.django_db


class TestArrivalToAccession:
    @pytest.fixture(autouse=True)
    def boxes(self) -> None:
        """A: received 1 March 2024, accessioned 11 March: 10 days. Its second box came on 1 May, with the number there
        already: 0. B: no delivery, 1 to 31 January 2023: 30 days. Two boxes wait, since 28 June 2024 and 1 July 2025;
        one was received on an unknown day."""
        a = register.accession("A", received_on=date(2024, 3, 1), accessioned_on=date(2024, 3, 11))
        register.delivery(a, 1, received_on=date(2024, 3, 1))
        register.delivery(a, 2, received_on=date(2024, 5, 1))
        register.accession("B", received_on=date(2023, 1, 1), accessioned_on=date(2023, 1, 31))
        register.accession("C", received_on=date(2024, 1, 1))
        register.arrival("E-1")
        register.arrival("E-2", received_on=date(2025, 7, 1))
        register.arrival("E-3", received_on=None)

    def test_days_and_the_oldest_box(self) -> None:
        """Half of 0, 10 and 30 days is 10. From 28 June 2024 to 26 November 2026 it is 2 years (731 days, 2024 is past
        its 29 February: 365 + 365 = 730) and 151 days: 2 + 31 + 31 + 30 + 31 + 26 = 151; 881 in all."""
        found = put("arrival-to-accession")
        assert found.sentence == (
            "Half of 3 deliveries had their accession number within 10 days; the longest took 30. 2 wait without a "
            "number; the oldest is E-1, for 881 days, since 28 June 2024."
        )
        assert column(found, "box", "days", "state") == [
            ("E-1", 881, "without a number"), ("E-2", 513, "without a number"),
            ("E-3", None, "without a number; day of receipt not recorded"), ("no delivery recorded", 30, ""),
            ("A, delivery 1", 10, ""), ("no delivery recorded", None, "day of accession not recorded"),
            ("A, delivery 2", 0, ""),
        ]  # fmt: skip
        assert [(one.count, one.words) for one in found.missing] == [
            (1, "The day of receipt of 1 delivery."),
            (1, "The day of accession of 1 delivery that has its number."),
        ]
        assert found.count == 3

    def test_by_year(self) -> None:
        columns = ("year", "deliveries", "median", "longest", "waiting")
        assert column(put("arrival-to-accession", by="year"), *columns) == [
            ("2025", 1, None, None, 1), ("2024", 4, 5, 10, 1), ("2023", 1, 30, 30, 0),
        ]  # fmt: skip

    def test_of_one_year(self) -> None:
        assert column(put("arrival-to-accession", year=2023), "accession") == ["B"]

    def test_as_of_a_day(self) -> None:
        """On 5 March 2024 the first box of A had waited 4 days; its second was not there, nor any that waits now."""
        found = put("arrival-to-accession", on=date(2024, 3, 5))
        assert "1 waits without a number: A, delivery 1, for 4 days" in found.sentence
        assert column(found, "box") == [
            "A, delivery 1", "E-3", "no delivery recorded", "no delivery recorded"
        ]  # fmt: skip

    def test_queries(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The reader, deliveries, accessions without one."""
        register.person(Role.REGISTRAR)
        with django_assert_num_queries(3):
            put("arrival-to-accession")


def run_on(day: date) -> Run:
    at = datetime(day.year, day.month, day.day, 3, tzinfo=UTC)
    return Run.objects.create(scope="all", state=Run.State.DONE, engine_version="0", started_at=at, finished_at=at)


def determined_anew(specimen: Specimen, name: str) -> None:
    """A new determination as the page makes it: the older one stays, its author is kept in the history."""
    Determination.objects.filter(specimen=specimen).update(is_current=False)
    specimen.name = register.written_name(name)
    specimen.save()
    made = Determination(specimen=specimen, name=specimen.name, identified_by="M. Lind", date_identified="2025-02-01")
    record(made, by=register.person(Role.CURATOR), why="determined")


class TestChangedAfterIdentification:
    @pytest.fixture(autouse=True)
    def results(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Three specimens judged twice: LMN-1 with a new name and other verdicts, LMN-2 with a new name and the same
        verdicts, LMN-3 with the same name and other verdicts. Only the first is asked for."""
        found = [register.specimen(f"LMN-{number}") for number in (1, 2, 3)]
        first = run_on(date(2025, 1, 1))
        monkeypatch.setattr(verdicts_factory, "run", lambda: first)
        for specimen in found:
            judged(specimen, "111111111")
        for specimen in found[:2]:
            determined_anew(specimen, "Calopteryx virgo")
        second = run_on(date(2025, 3, 1))
        monkeypatch.setattr(verdicts_factory, "run", lambda: second)
        for specimen, strip in zip(found, ("121111111", "111111111", "511111111"), strict=True):
            judged(specimen, strip, {} if strip != "111111111" else None)

    def test_only_where_name_and_verdict_changed(self) -> None:
        found = put("changed-after-identification")
        assert found.sentence == "1 specimen changed verdict after it was determined anew."
        columns = (
            "specimen",
            "before",
            "after",
            "identified_by",
            "entered_by",
            "strip_before",
            "strip_after",
            "layers",
        )
        assert column(found, *columns) == [(
            "LMN-1", "Calopteryx splendens", "Calopteryx virgo", "M. Lind", "Nora Curator", "111111111", "121111111",
            "Collecting: Not required → Cannot tell",
        )]  # fmt: skip

    @pytest.mark.parametrize(("values", "count"), [
        ({"from": "2025-03-01"}, 1), ({"from": "2025-03-02"}, 0), ({"to": "2025-03-01"}, 1), ({"to": "2025-02-28"}, 0),
    ])  # fmt: skip
    def test_period_of_the_assessment(self, values: dict[str, str], count: int) -> None:
        assert put("changed-after-identification", **values).count == count

    def test_runs_that_did_not_end_say_nothing(self) -> None:
        Run.objects.filter(finished_at__date=date(2025, 3, 1)).update(state=Run.State.STOPPED)
        assert put("changed-after-identification").sentence == "No verdict changed after a determination."

    def test_queries(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The reader, the mark of what stands, the results, the strips; the rows, determinations and their history."""
        register.person(Role.REGISTRAR)
        with django_assert_num_queries(7):
            put("changed-after-identification").rows.between(0, 25)
