"""TRADE 7.4, question 9: which papers expire in 90 days; who knows?

Today is 26 November 2026. 90 days on are 4 (to the 30th) + 31 + 31 + 24: 24 February 2027.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.duties.models import ReminderSent
from governance.papers.models import Paper, PaperStatus
from tests.factories import duties, register
from tests.integration.audit.put import column, links, put

pytestmark = pytest.mark.django_db

KEY = "papers-that-expire"
NOBODY = "Nobody has been told"


def paper(reference: str, last: str | None, **fields: Any) -> Paper:
    made = register.paper(reference, **fields)
    register.version(made, "2024-01-01", last)
    return made


def test_from_the_day_itself_to_the_ninetieth() -> None:
    for reference, last in (("YESTERDAY", "2026-11-25"), ("TODAY", "2026-11-26"), ("NINETY", "2027-02-24"),
                            ("NINETY-ONE", "2027-02-25"), ("OPEN", None)):  # fmt: skip
        paper(reference, last)
    register.paper("UNREAD")
    found = put(KEY)
    assert column(found, "paper", "last", "left", "knows") == [
        ("TODAY", date(2026, 11, 26), 0, NOBODY), ("NINETY", date(2027, 2, 24), 90, NOBODY),
    ]  # fmt: skip
    assert found.sentence == ("2 papers expire by 24 February 2027, within 90 days. Of 2 of them nobody has been told.")
    assert found.missing[0].words == "No version of 1 paper is entered: its last day is not known."
    assert found.notes[0] == "1 paper that holds has no last day and does not expire."
    assert column(put(KEY, days=91), "paper") == ["TODAY", "NINETY", "NINETY-ONE"]
    assert column(put(KEY, days=0, on=date(2026, 11, 25)), "paper") == ["YESTERDAY"]


def test_what_ends_a_paper_early_and_what_keeps_it() -> None:
    """Revoked from 2 December on: 1 December is its last day. A renewal that is applied for leaves what was given."""
    revoked, renewed, never, early = (paper(one, "2026-12-31") for one in ("REV", "REN", "NEVER", "GONE"))
    PaperStatus.objects.create(paper=revoked, state="revoked", from_on=date(2026, 12, 2))
    PaperStatus.objects.create(paper=renewed, state="granted", from_on=date(2023, 12, 1))
    PaperStatus.objects.create(paper=renewed, state="applied", from_on=date(2026, 10, 1))
    PaperStatus.objects.create(paper=never, state="applied", from_on=date(2023, 12, 1))
    PaperStatus.objects.create(paper=early, state="surrendered", from_on=date(2026, 11, 1))
    assert column(put(KEY), "paper", "last", "state") == [
        ("REV", date(2026, 12, 1), "In force"),
        ("REN", date(2026, 12, 31), "In force; its renewal is applied for"),
    ]


def test_who_was_assigned_or_told() -> None:
    """A: a curator sees to a duty. B: nobody does, so that who keeps duties is told by digest: the registrar on the
    20th, not the volunteer on the 25th, and nobody tomorrow. C: its only duty was done."""
    assigned, nobodys, done = (paper(one, "2026-12-31") for one in "ABC")
    curator, registrar = register.person(Role.CURATOR), register.person(Role.REGISTRAR)
    duties.duty(paper=assigned, assignee=curator)
    duties.duty(paper=nobodys)
    duties.done_duty(paper=done, assignee=curator)
    for user, day in ((registrar, 20), (register.person(Role.VOLUNTEER), 25), (registrar, 27)):
        ReminderSent.objects.create(user=user, on=date(2026, 11, day), duties=1)
    found = put(KEY)
    assert column(found, "paper", "knows", "duties", "digest") == [
        ("A", "Nora Curator", 1, None), ("B", "Those who keep duties, by their digests", 1, date(2026, 11, 20)),
        ("C", NOBODY, 0, None),
    ]  # fmt: skip
    assert "Of 1 of them nobody" in found.sentence
    assert links(found, "paper")[0] == f"/papers/{assigned.pk}/"


def test_country_of_a_restricted_paper_stays_with_its_readers() -> None:
    open_one, closed = paper("OPEN-GE", "2026-12-31"), paper("CLOSED-GE", "2026-12-31")
    paper("OPEN-SE", "2026-12-31", jurisdiction="SE")
    Paper.objects.filter(pk=closed.pk).update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    assert column(put(KEY, Role.REGISTRAR, country="GE"), "paper", "country") == [
        ("CLOSED-GE", "GE"), (open_one.reference, "GE"),
    ]  # fmt: skip
    for_others = put(KEY, Role.AUDITOR, country="ge")
    assert column(for_others, "paper") == ["OPEN-GE"]
    assert for_others.kept_back == (
        "1 paper that is not open to you is left out: its country is for its readers.",
    )  # fmt: skip
    assert column(put(KEY, Role.AUDITOR), "paper", "country")[0] == ("CLOSED-GE", "")


@pytest.mark.parametrize(("name", "value"), [("days", "ninety"), ("days", ""), ("country", "XX")])
def test_what_cannot_be_read_is_told_at_its_field(name: str, value: str) -> None:
    with pytest.raises(UnknownValueError) as refused:
        put(KEY, **{name: value})
    assert refused.value.parameter == name


@pytest.mark.parametrize("count", [1, 6])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        duties.duty(paper=paper(f"P-{number}", "2026-12-31"))
    with django_assert_num_queries(8):
        assert len(column(put(KEY), "paper")) == count
