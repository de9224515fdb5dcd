"""TRADE 7.4, questions 5 and 6: who collected, named or supervised; was the trap type allowed, how many, how long?

A permit of 2024 that names J. Ek, allows others under supervision, and allows the hand net alone. What each event must
come to is told beside it by VERDICTS 6.
"""

from __future__ import annotations

from datetime import date

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import SamplingEvent
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.audit.questions.taking.traps import hours_of
from governance.engine.tables import Layer
from governance.papers.models import Paper, VersionPerson, VersionWord
from governance.verdicts.actions.assessing import assess
from tests.factories import register
from tests.integration.audit.put import column, put, table, told
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]

pytestmark = pytest.mark.django_db


def _event(number: str, day: str, people: str, methods: str = "hand net") -> None:
    event = register.event(number, day, recorded_by=people, sampling_protocol=methods)
    register.specimen(f"LMN-{number}", event=event)


@pytest.fixture(scope="module")
def register_of_events(kept: None) -> None:
    register.rule(register.sheet())
    permit = register.paper()
    version = register.version(permit, "2024-01-01", "2024-12-31", assistants="supervised")
    VersionPerson.objects.create(version=version, name="J. Ek")
    VersionWord.objects.create(version=version, subject="methods", word="hand net")
    consent = register.paper("LND-2024-117", (Layer.LAND,))  # names nobody, limits no method
    register.version(consent, "2024-01-01", "2024-12-31")
    _event("1", "2024-06-01", "J. Ek")  # all named: yes
    _event("2", "2024-06-02", "N. Moe")  # none named: no (person)
    _event("3", "2024-06-03", "")  # blank: unknown (person-missing)
    _event("4", "2024-06-04", "J. Ek | N. Moe", "light trap")  # some named: yes; no method allowed: no (method)
    run = register.event(
        "5", "2024-06-05", event_date="2024-06-05T20:00/2024-06-07T08:00", latest_on=date(2024, 6, 7),
        recorded_by="J. Ek | N. Moe",
    )  # fmt: skip
    register.specimen("LMN-5", event=run)  # some named, under supervision: yes, with a remark
    accession = register.specimen("LMN-6", event=run).accession
    register.specimen("LMN-7", accession=register.accession("Z"))  # no paper is linked
    for paper in (permit, consent):
        register.link(paper, accession=accession)
    assess(by=None, why="first")


@pytest.fixture
def judged(register_of_events: None, db: None) -> None:
    """Made once for all tests."""


_HELPERS = "helpers of somebody named; that they were supervised is not evidenced"


def test_who_collected_an_accession(judged: None) -> None:
    answer = put("who-collected", accession="LMN-2024-038")
    assert column(answer, "event", "people", "specimens", "paper", "answer") == [
        ("1", "J. Ek", 1, "COL-2024-052", "named"),
        ("2", "N. Moe", 1, "COL-2024-052", "not named"),
        ("3", "nobody is recorded", 1, "COL-2024-052", "cannot be told: nobody is recorded"),
        ("4", "J. Ek, N. Moe", 1, "COL-2024-052",
         "named, or helpers of somebody named; whether they were supervised was not looked at"),
        ("5", "J. Ek, N. Moe", 2, "COL-2024-052", _HELPERS),
    ]  # fmt: skip
    assert answer.sentence == (
        "Collected for accession LMN-2024-038: J. Ek and N. Moe. 1 specimen was taken by people who are not named on "
        "the paper; of 1 specimen it cannot be told whether those who took them are named; 2 specimens were taken with "
        "helpers whose supervision is not evidenced; 2 specimens were taken by people whom the papers allow."
    )
    assert [one.count for one in answer.missing] == [1, 2]  # event 3; LMN-5 and LMN-6
    assert answer.total == 2


def test_people_are_told_in_the_order_of_the_days(judged: None) -> None:
    """As the rows below the sentence are, in whatever order the database gives the events."""
    SamplingEvent.objects.filter(number="2").update(earliest_on=date(2024, 1, 1))
    answer = put("who-collected", accession="LMN-2024-038")
    assert column(answer, "event", "people")[0] == ("2", "N. Moe")
    assert answer.sentence.startswith("Collected for accession LMN-2024-038: N. Moe and J. Ek.")


def test_methods_nights_and_hours(judged: None) -> None:
    answer = put("traps", accession="LMN-2024-038")
    assert column(answer, "event", "methods", "nights", "hours", "answer") == [
        ("1", "hand net", 0, None, "allowed"), ("2", "hand net", 0, None, "allowed"),
        ("3", "hand net", 0, None, "allowed"), ("4", "light trap", 0, None, "not allowed"),
        ("5", "hand net", 2, 36, "allowed"),
    ]  # fmt: skip
    assert answer.sentence.startswith(
        "Methods recorded for accession LMN-2024-038, in 5 events: hand net and light trap; 2 nights in all. "
        "1 specimen was taken by a method that the paper does not allow"
    )
    assert answer.missing[-1].words.startswith("How many traps stood")


def test_the_whole_register_by_paper(judged: None) -> None:
    answer = put("who-collected")
    assert sorted(column(answer, "answer", "specimens")) == [
        ("cannot be told: nobody is recorded", 1), (_HELPERS, 2), ("named", 1),
        ("named, or helpers of somebody named; whether they were supervised was not looked at", 1), ("not named", 1),
    ]  # fmt: skip
    assert "for 1 specimen no paper that was tested names people" in answer.sentence  # LMN-7
    assert sorted(column(put("traps"), "paper", "answer", "specimens")) == [
        ("COL-2024-052", "allowed", 5), ("COL-2024-052", "not allowed", 1),
    ]  # fmt: skip


def test_one_specimen_and_one_paper(judged: None) -> None:
    assert put("who-collected", specimen="LMN-2").sentence.startswith("Collected for specimen LMN-2: N. Moe.")
    nobody = put("who-collected", specimen="LMN-3")
    assert nobody.sentence.startswith("Nobody is recorded as collector for specimen LMN-3.")
    assert len(put("who-collected", paper="COL-2024-052").rows) == 5
    assert len(put("who-collected", paper="LND-2024-117").rows) == 0  # it names nobody
    without = table(put("traps", accession="Z"))
    assert [(row["paper"], row["answer"]) for row in without] == [("none", "no paper that was tested limits methods")]


def test_a_restricted_paper_tells_the_answer_alone(judged: None) -> None:
    """That its helpers may be supervised stands in the paper."""
    bits = role_bits([Role.COMPLIANCE])
    Paper.objects.filter(reference="COL-2024-052").update(restricted_to=bits, restricted_why="a private person")
    version = Paper.objects.get(reference="COL-2024-052").versions.get()
    VersionPerson.objects.create(version=version, name="Zzperson")
    answer = put("who-collected", accession="LMN-2024-038")
    assert "Zz" not in told(answer)
    assert column(answer, "answer")[0] == column(answer, "answer")[3] == "within what the paper says of people"


@pytest.mark.parametrize("key", ["specimen", "accession", "paper"])
def test_unknown_values(judged: None, key: str) -> None:
    for question in ("who-collected", "traps"):
        with pytest.raises(UnknownValueError) as raised:
            put(question, **{key: "nowhere"})  # type: ignore[arg-type]
        assert raised.value.parameter == key


def test_queries_do_not_grow_with_events(judged: None, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)

    def asked() -> int:
        with django_assert_num_queries(12):
            return len(put("who-collected", accession="LMN-2024-038").rows)

    assert asked() == 5
    for number in range(6, 10):
        _event(f"1{number}", "2024-07-01", "N. Moe")
    assess(by=None, why="more")
    assert asked() == 9


def test_hours_between_two_times() -> None:
    """Hand arithmetic; a zone on one end alone leaves them unknown."""
    assert hours_of("2024-06-17T20:30/2024-06-18T06:00") == 9.5
    assert hours_of("2024-06-17T20:30Z/2024-06-18T06:00+02:00") == 7.5
    unknown = ("2024-06-17/2024-06-18", "2024-06-17T20:30Z/2024-06-18T06:00", "2024-06-17T20:30", "T/T", "")
    assert [hours_of(text) for text in unknown] == [None] * len(unknown)
