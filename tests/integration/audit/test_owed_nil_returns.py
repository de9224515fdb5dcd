"""TRADE 7.4, question 11: did you report for permits under which nothing was taken? Today is 26 November 2026."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.duties.models import Duty
from governance.duties.queries.nil_returns import taken_in_its_time
from governance.papers.models import Paper
from tests.factories import duties, register
from tests.integration.audit.put import column, put, told

pytestmark = pytest.mark.django_db

KEY = "nil-returns"
YEAR = {"about_from": date(2025, 1, 1), "about_to": date(2025, 12, 31), "due_on": date(2026, 1, 31)}
NOTHING, PERHAPS = "Nothing", "Perhaps: the day is not known, or only partly in it"


def under(reference: str, *days: tuple[str, str] | None) -> Paper:
    """A paper under which something was taken on these days, each a run; None: the day is not known."""
    paper, accession = register.paper(reference), register.accession(f"LMN-{reference}")
    register.link(paper, accession=accession)
    for run in days:
        span: dict[str, Any] = {
            "earliest_on": run and date.fromisoformat(run[0]),
            "latest_on": run and date.fromisoformat(run[1]),
        }
        event = register.event(reading="run" if run else "missing", **span)
        register.specimen(accession=accession, event=event)
    return paper


def test_nothing_perhaps_and_something() -> None:
    """The return is about 2025. A run over new year lies in it in part; one of which no day is known may be anywhere.
    Both may have been taken in it, so that nobody can say that nothing was."""
    papers = {name: under(name) for name in ("NIL", "SENT", "WAIVED")} | {
        "LATE": under("LATE", ("2024-06-17", "2024-06-17"), ("2026-01-01", "2026-01-01")),
        "TAKEN": under("TAKEN", ("2025-12-31", "2025-12-31"), None), "UNKNOWN": under("UNKNOWN", None),
        "AGAINST": under("AGAINST", ("2025-01-01", "2025-01-02")), "RUN": under("RUN", ("2024-12-30", "2025-01-02")),
    }  # fmt: skip
    for name in ("NIL", "AGAINST", "SENT"):
        duties.done_duty(paper=papers[name], done_on=date(2026, 1, 20), is_nil=name != "SENT", **YEAR)
    for name in ("LATE", "TAKEN", "RUN", "UNKNOWN"):
        duties.duty(paper=papers[name], **YEAR)
    registrar = register.person(Role.REGISTRAR)
    duties.duty(paper=papers["WAIVED"], waived_on=date(2026, 1, 5), waived_at="2026-01-05T10:00Z", waived_by=registrar,
                waived_why="The authority said so.", **YEAR)  # fmt: skip
    found = put(KEY)
    assert column(found, "paper", "taken", "events", "nil") == [
        ("AGAINST", "Something", 0, "Made; material of that time is on record"), ("LATE", NOTHING, 0, "Late"),
        ("NIL", NOTHING, 0, "Made"), ("RUN", PERHAPS, 1, "Late"), ("SENT", NOTHING, 0, "Sent, not said to be nil"),
        ("UNKNOWN", PERHAPS, 1, "Late"), ("WAIVED", NOTHING, 0, "Waived"),
    ]  # fmt: skip
    assert found.sentence == (
        "For 4 returns nothing was taken under the paper in the time that they are about: 1 nil return was made, 1 was "
        "sent without saying that it is nil, 1 is late and 1 was waived. For 2 more something may have been taken. 1 "
        "nil return was made for a time in which material is on record."
    )
    assert {one.paper.reference for one in Duty.objects.all() if one.paper and not taken_in_its_time(one)} == {
        name for name, taken in column(found, "paper", "taken") if taken == NOTHING
    }, "the same as the room of duties asks before a nil return"


def test_only_times_that_are_over_and_papers_that_ask() -> None:
    """A return about 2026 is not asked for while the year lasts. Of a paper without a duty it is said that none is."""
    paper = under("NOW")
    duties.duty(paper=paper, about_from=date(2026, 1, 1), about_to=date(2026, 12, 31))
    duties.duty(paper=paper, **YEAR, kind="payment")
    duties.duty(paper=paper, **YEAR, dropped_on=date(2026, 2, 1), dropped_why="the rule ended")
    under("SILENT")
    found = put(KEY)
    assert column(found, "paper") == []
    assert (
        found.sentence
        == "No return is asked for about a time that ended between 26 November 2024 and 26 November 2026."
    )
    assert found.missing[0].words.startswith("Of 1 paper no duty to report is entered")
    assert column(put(KEY, on=date(2027, 1, 1)), "paper") == ["NOW"]


def test_words_of_a_restricted_paper_stay_with_its_readers() -> None:
    paper = under("CLOSED")
    values: dict[str, Any] = {"what": "Zzwhat", "done_how": "Zzhow", "done_on": date(2026, 1, 20)}
    duties.done_duty(paper=paper, **YEAR, **values)
    Paper.objects.update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    found = put(KEY, Role.CURATOR)
    assert "Zzhow" in told(put(KEY)) and "Zz" not in told(found)
    assert found.kept_back == ("Of 1 return what is asked and how it was sent is for readers of its paper.",)


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        duties.duty(paper=under(f"P-{number}", None), **YEAR)
    with django_assert_num_queries(12):
        assert len(column(put(KEY), "paper")) == count
