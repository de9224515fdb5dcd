"""Today: what needs a person, as the register knows it on the day."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.intake.models import Batch
from accessions.material.touches import Scope, touch
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import PaperStatus
from governance.verdicts.models import HouseRuleSet
from governance.verdicts.queries import today as reads
from tests.factories import register
from tests.factories.verdicts import Why, judged

pytestmark = pytest.mark.django_db

DAY = date(2026, 11, 25)


@pytest.fixture
def registrar(client: Client, monkeypatch: pytest.MonkeyPatch) -> Client:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)
    client.force_login(register.person(Role.REGISTRAR))
    return client


def answer(client: Client) -> str:
    found = re.search(r'class="answer">(.*?)</p>', client.get("/").content.decode(), re.S)
    assert found
    return " ".join(re.sub(r"<[^>]+>", "", found[1]).split())


def lines(client: Client) -> list[tuple[str, str]]:
    """Kind and words of each line of the agenda."""
    return [(item.kind, item.what) for item in client.get("/").context["items"]]


def test_an_empty_register_shows_the_first_steps(registrar: Client) -> None:
    text = registrar.get("/").content.decode()
    assert "The register holds no specimen yet." in text
    assert "Bring in a spreadsheet" in text


class TestEndingPapers:
    """From today to 153 days on: 25 November 2026 to 27 April 2027."""

    @pytest.mark.parametrize(
        ("last", "is_ending"),
        [("2026-11-24", False), ("2026-11-25", True), ("2027-04-27", True), ("2027-04-28", False), (None, False)],
    )
    def test_the_days_that_count(self, last: str | None, is_ending: bool) -> None:
        register.version(register.paper("COL-1"), "2026-01-01", last)
        assert [e.paper.reference for e in reads.ending_papers(DAY)] == (["COL-1"] if is_ending else [])

    def test_the_newest_version_decides(self) -> None:
        """The first version ends in December; its renewal runs to 2028."""
        paper = register.paper("COL-1")
        register.version(paper, "2026-01-01", "2026-12-31")
        register.version(paper, "2027-01-01", "2028-12-31")
        assert reads.ending_papers(DAY) == []

    def test_a_paper_given_up_does_not_end_again(self) -> None:
        paper = register.paper("COL-1")
        register.version(paper, "2026-01-01", "2026-12-31")
        PaperStatus.objects.create(paper=paper, state="revoked", from_on=date(2026, 6, 1))
        assert reads.ending_papers(DAY) == []

    def test_soonest_first_with_the_days_left(self, registrar: Client) -> None:
        """To 5 December it is 10 days, to 27 November 2."""
        judged(register.specimen("A-1"))
        register.sheet("GE")
        register.version(register.paper("COL-1"), "2026-01-01", "2026-12-05")
        register.version(register.paper("COL-2"), None, "2026-11-27")
        items = registrar.get("/").context["items"]
        assert [(i.what, i.days, i.days_left, i.is_soon) for i in items] == [
            ("COL-2 ends", 2, "in 2 days", True), ("COL-1 ends", 10, "in 10 days", False),
        ]  # fmt: skip
        assert "The next paper to end is COL-2, on 27 November 2026." in answer(registrar)


@pytest.fixture
def busy() -> dict[str, Any]:
    """One of each thing that waits."""
    late = register.accession("LMN-2026-071", received_on=date(2026, 11, 18), title="Snails")
    judged(register.specimen("A-1", accession=late), "111115111", {Layer.EXPORT: Why("not-searched", "None.")})
    judged(register.specimen("A-2", accession=late), "111115111", {Layer.EXPORT: Why("not-searched", "None.")})
    judged(register.specimen("B-1", event=register.event(country="SE", country_code="SE")), "112111111",
           {Layer.SPECIES: Why("no-rule", "No sheet.")})  # fmt: skip
    register.specimen("Z-1")
    register.sheet("GE")
    register.paper("ABS-2022-031")
    Batch.objects.create(file_name="trip.xlsx", data=b"", sha256="0" * 64, received_by=register.person(Role.REGISTRAR))
    touch(Scope.ALL, by=None, why="test")
    return {"late": late}


def test_what_waits(registrar: Client, busy: dict[str, Any]) -> None:
    assert lines(registrar) == [
        ("File", "trip.xlsx waits to be brought in"),
        ("Specimens", "Specimens that are not yet checked"),
        ("Verdicts", "Verdicts wait to be brought up to date"),
        ("Accession", "LMN-2026-071 has a layer without a paper on file"),
        ("Paper", "ABS-2022-031 is on file but not read yet"),
        ("Country", "1 country has no sheet that says what it requires"),
    ]
    assert answer(registrar) == (
        "3 of 4 specimens need a look. 1 is not yet checked. 1 accession has a layer without a paper on file."
    )


def test_links_lead_to_what_is_counted(registrar: Client, busy: dict[str, Any]) -> None:
    context = registrar.get("/").context
    arrival = next(item for item in context["items"] if item.kind == "Accession")
    assert (arrival.amount, len(registrar.get(arrival.href).context["rows"])) == ("2", 2)
    unchecked = next(item for item in context["items"] if item.kind == "Specimens")
    assert len(registrar.get(unchecked.href).context["rows"]) == 1
    assert [(r.specimens, len(registrar.get(r.list_address).context["rows"])) for r in context["reasons"]] == [
        (2, 2), (1, 1),
    ]  # fmt: skip
    assert [(c.name, c.count, len(registrar.get(c.href).context["rows"])) for c in context["counts"]] == [
        ("Georgia", 2, 2), ("Sweden", 1, 1),
    ]  # fmt: skip


def test_open_specimens_are_not_called_nothing(registrar: Client) -> None:
    """Where only verdicts are open, the agenda says where they stand; where nothing is, that nothing waits."""
    register.rule(register.sheet("GE"))
    judged(register.specimen("A-1"), "141111111", {Layer.COLLECTING: Why("after-end", "Late.")})
    page = registrar.get("/").content.decode()
    assert "Nothing waits for a person." not in page
    assert "The specimens that need a look stand below, by reason." in page


def test_the_bar_counts_every_specimen_once(registrar: Client, busy: dict[str, Any]) -> None:
    shares = registrar.get("/").context["shares"]
    assert {share.cell.word: share.count for share in shares} == {
        "Covered": 0, "Not required": 0, "Cannot tell": 1, "Straddles": 0, "Outside terms": 0, "No paper on file": 2,
    }  # fmt: skip
    assert "1 is not yet checked" in answer(registrar)


def test_queries_do_not_grow(
    registrar: Client, busy: dict[str, Any], django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    registrar.cookies["first-steps"] = "hidden"  # how many they take: tests/integration/guide
    for n in range(2):
        with django_assert_num_queries(33):  # where nothing waits at the desk, and nothing is owed
            registrar.get("/")
        for k in range(3):
            late = register.accession(f"LMN-2026-1{n}{k}")
            judged(register.specimen(f"N-{n}{k}", accession=late), "111115111")
            register.version(register.paper(f"COL-{n}{k}"), "2026-01-01", "2026-12-05")


def test_nobody_sees_it_unknown(client: Client) -> None:
    assert client.get("/").headers["Location"].startswith("/sign-in/")


def test_no_file_is_named_to_those_who_may_not_open_it(client: Client, busy: dict[str, Any]) -> None:
    """Volunteers prepare files, compliance officers do not (the rights of the roles): no way into a refusal."""
    client.force_login(register.person(Role.VOLUNTEER))
    assert "trip.xlsx" in client.get("/").content.decode()
    client.force_login(register.person(Role.COMPLIANCE))
    assert "trip.xlsx" not in client.get("/").content.decode()


def test_an_auditor_sees_it_without_the_deeds(client: Client, busy: dict[str, Any]) -> None:
    client.force_login(register.person(Role.AUDITOR))
    text = client.get("/").content.decode()
    assert "need a look" in text
    assert "Register a paper" not in text
    assert "Bring in specimens" not in text


def test_what_was_only_applied_for_is_no_paper_that_waits_to_be_read() -> None:
    """A paper may be applied for, refused, asked again and given: its last decision counts, by its day."""
    lives = {
        "A-1": ["applied"], "A-2": ["applied", "refused"], "A-3": ["applied", "granted"], "A-4": [],
        "A-5": ["granted", "suspended"],
    }  # fmt: skip
    for reference, states in lives.items():
        paper = register.paper(reference)
        for day, state in enumerate(states, start=1):
            PaperStatus.objects.create(paper=paper, state=state, from_on=date(2026, 1, day))
    assert [paper.reference for paper in reads.unread_papers()] == ["A-3", "A-4", "A-5"]


def test_deliveries_that_wait_longer_than_the_house_rule_oldest_first(registrar: Client, busy: dict[str, Any]) -> None:
    """Of five that wait 31 to 35 days, three stand here and two are counted; one of 30 days waits within the rule."""
    today = timezone.localdate()
    for days in (31, 32, 33, 34, 35, 30):
        register.arrival(f"E-{days}", received_on=today - timedelta(days=days))
    items = registrar.get(reverse("verdicts:today")).context["items"]
    assert [(item.what, item.amount) for item in items if item.kind == "Delivery"] == [
        ("E-35 waits for its release and an accession number", "35"),
        ("E-34 waits for its release and an accession number", "34"),
        ("E-33 waits for its release and an accession number", "33"),
        ("2 more deliveries wait longer than 30 days", "2"),
    ]
    HouseRuleSet.objects.update_or_create(pk=1, defaults={"longest_wait_days": 34})
    items = registrar.get(reverse("verdicts:today")).context["items"]
    assert [item.what[:4] for item in items if item.kind == "Delivery"] == ["E-35"]
