"""A paper that goes on under another number: recorded, shown on both pages, and no verdict moves."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.actions.continuing import change_continuation, record_continuation, remove_continuation
from governance.papers.models import Paper, PaperContinuation
from governance.papers.queries.continuations import continuations_of, seam_between
from governance.verdicts.actions import assess
from governance.verdicts.models import Standing
from tests.factories import register

pytestmark = pytest.mark.django_db


def a_paper(reference: str, first: str | None, last: str | None) -> Paper:
    made = register.paper(reference)
    register.version(made, first, last)
    return made


@pytest.fixture
def two() -> tuple[Paper, Paper]:
    """Until 31 December 2022, and from 9 January 2023: 8 days, 1 to 8 January, lie between them (by hand)."""
    return a_paper("RES-2022-001", "2022-01-01", "2022-12-31"), a_paper("RES-2023-004", "2023-01-09", "2023-12-31")


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


@pytest.mark.parametrize(
    ("last", "first", "days"),
    [
        (date(2024, 2, 28), date(2024, 3, 1), 1),  # 29 February
        (date(2023, 2, 28), date(2023, 3, 1), 0),
        (date(2022, 12, 31), date(2022, 12, 31), -1),  # both hold on the one day
        (date(2022, 12, 31), date(2022, 12, 22), -10),
        (None, date(2023, 1, 1), None),
        (date(2022, 12, 31), None, None),
    ],
)
def test_days_between(last: date | None, first: date | None, days: int | None) -> None:
    assert seam_between(last, first).days == days


def test_both_pages_show_it(curator: Client, two: tuple[Paper, Paper]) -> None:
    earlier, later = two
    typed = {"direction": "later", "other": later.reference, "proof": "proven", "evidence": "letter of 3 May 2023"}
    answer = curator.post(reverse("papers:paper-continuation", args=[earlier.pk]), typed)
    assert answer["Location"] == reverse("papers:paper", args=[earlier.pk])
    pages = [curator.get(reverse("papers:paper", args=[paper.pk])).content.decode() for paper in two]
    for page in pages:
        assert "8 days lie between them: 1 January 2023 to 8 January 2023." in page
        assert "Continuation proven: letter of 3 May 2023" in page
        assert "A continuation fills no day in a verdict." in page
    assert "Continued by" in pages[0]
    assert "Continues" in pages[1]
    assert not Touch.objects.exists()


def test_recorded_from_the_later_paper(curator: Client, two: tuple[Paper, Paper]) -> None:
    earlier, later = two
    typed = {"direction": "earlier", "other": earlier.reference, "proof": "not-looked"}
    curator.post(reverse("papers:paper-continuation", args=[later.pk]), typed)
    row = PaperContinuation.objects.get()
    assert (row.earlier, row.later, row.proof) == (earlier, later, "not-looked")


def test_it_fills_no_day(two: tuple[Paper, Paper]) -> None:
    """Taken on 4 January 2023, between the two: outside before and after the continuation is proven."""
    register.rule(register.sheet("GE"), Layer.COLLECTING)
    specimen = register.specimen(event=register.event(day="2023-01-04"))
    for paper in two:
        register.link(paper, specimen=specimen)
    assess(by=None, why="first")
    record_continuation(earlier=two[0], later=two[1], proof="proven", evidence="letter",
                        by=register.person(), why="test")  # fmt: skip
    assess(by=None, why="again")
    assert Standing.objects.get().ruling.strip[Layer.COLLECTING] == str(int(Verdict.OUTSIDE))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"other": "RES-1"}, "is not in the register"),
        ({"other": "RES-2022-001"}, "does not continue itself"),
        ({"proof": "proven", "evidence": " "}, "Say by what the continuation is proven"),
        ({"proof": "perhaps"}, "is not one of the available choices"),
    ],
)
def test_mistakes_are_told(curator: Client, two: tuple[Paper, Paper], wrong: dict[str, str], words: str) -> None:
    typed = {"direction": "later", "other": "RES-2023-004", "proof": "not-looked", "evidence": ""} | wrong
    answer = curator.post(reverse("papers:paper-continuation", args=[two[0].pk]), typed)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not PaperContinuation.objects.exists()


def test_recorded_once(curator: Client, two: tuple[Paper, Paper]) -> None:
    typed = {"direction": "later", "other": "RES-2023-004", "proof": "not-looked"}
    path = reverse("papers:paper-continuation", args=[two[0].pk])
    curator.post(path, typed)
    answer = curator.post(path, typed)
    assert answer.status_code == 422
    assert "This continuation is recorded already." in answer.content.decode()


def test_proof_is_changed_and_a_mistake_taken_off(curator: Client, two: tuple[Paper, Paper]) -> None:
    by = register.person()
    row = record_continuation(earlier=two[0], later=two[1], proof="not-looked", by=by, why="test")
    curator.post(reverse("papers:continuation-edit", args=[row.pk]), {"proof": "not-proven", "evidence": "asked"})
    row.refresh_from_db()
    assert (row.proof, row.evidence) == ("not-proven", "asked")
    with pytest.raises(ValidationError, match="Say by what"):
        change_continuation(continuation=row, proof="proven", by=by, why="test")
    curator.post(reverse("papers:continuation-remove", args=[row.pk]), {"why": "another paper"})
    assert not PaperContinuation.objects.exists()
    assert [kept.history_type for kept in PaperContinuation.history.all()] == ["-", "~", "+"]


def test_an_auditor_records_none(two: tuple[Paper, Paper]) -> None:
    asked: dict[str, Any] = {"by": register.person(Role.AUDITOR), "why": "test"}
    with pytest.raises(NotAllowedError):
        record_continuation(earlier=two[0], later=two[1], proof="not-looked", **asked)
    row = record_continuation(earlier=two[0], later=two[1], proof="not-looked", by=register.person(), why="test")
    with pytest.raises(NotAllowedError):
        remove_continuation(continuation=row, **asked)


def test_a_restricted_paper_keeps_its_days_and_proof(curator: Client, two: tuple[Paper, Paper]) -> None:
    """That it continues is seen by all; a curator may not read the earlier one, so nothing of its days is said."""
    record_continuation(earlier=two[0], later=two[1], proof="proven", evidence="letter of 3 May", by=register.person(),
                        why="test")  # fmt: skip
    Paper.objects.filter(pk=two[0].pk).update(restricted_to=1 << list(Role).index(Role.COMPLIANCE), restricted_why="x")
    page = curator.get(reverse("papers:paper", args=[two[1].pk])).content.decode()
    assert "RES-2022-001" in page
    assert "letter of 3 May" not in page
    assert "lie between them" not in page


def test_queries_of_the_list(two: tuple[Paper, Paper], django_assert_num_queries: Any) -> None:
    """The rows, and versions and turns of the papers before and after."""
    by = register.person()
    for number in range(3):
        other = a_paper(f"RES-2021-{number}", "2021-01-01", "2021-12-31")
        record_continuation(earlier=other, later=two[0], proof="not-looked", by=by, why="test")
    record_continuation(earlier=two[0], later=two[1], proof="not-looked", by=by, why="test")
    with django_assert_num_queries(5):
        found = continuations_of(two[0], date(2024, 1, 1))
    assert [one.seam.days for one in found] == [0, 0, 0, 8]
