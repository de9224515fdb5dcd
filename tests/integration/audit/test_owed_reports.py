"""TRADE 7.4, question 10: which reports are due, late, sent; show proof of sending. Today is 26 November 2026."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.duties.models import Duty
from governance.papers.models import Paper
from tests.factories import duties, register, reports, scans
from tests.integration.audit.put import column, links, put, told

pytestmark = pytest.mark.django_db

KEY = "reports-due"


def owed(due: date | None, **values: Any) -> Duty:
    return duties.duty(due_on=due, what=values.pop("what", f"Report of {due}"), **values)


def done(due: date, **values: Any) -> Duty:
    return duties.done_duty(due_on=due, done_on=date(2026, 3, 1), what=f"Report of {due}", **values)


def test_states_by_their_days_and_what_proves_them() -> None:
    """Due from 30 days before its day on: 26 December is the thirtieth, 27 December comes later."""
    sent, in_words, proved = (done(date(2026, 1, day)) for day in (1, 2, 3))
    Duty.objects.filter(pk=proved.pk).update(done_scan=scans.scan(stored=False))
    report = reports.issued_report(reference="RP-1", duty=sent)
    reports.sending(report, sent_on=date(2026, 3, 2))
    reports.sending(report, sent_on=date(2026, 3, 9), voided_at=timezone.now(), voided_by=report.issued_by,
                    voided_why="a slip")  # fmt: skip
    for day in (date(2026, 11, 25), date(2026, 12, 26), date(2026, 12, 27), None):
        owed(day)
    owed(date(2026, 12, 1), kind="payment")
    found = put(KEY)
    assert column(found, "due", "state", "sent", "proof") == [
        (date(2026, 1, 1), "Done", date(2026, 3, 2), "Nazvri Directorate, registered mail: Receipt 4711, in the file."),
        (date(2026, 1, 2), "Done", date(2026, 3, 1), in_words.done_how),
        (date(2026, 1, 3), "Done", date(2026, 3, 1), "permit.pdf"),
        (date(2026, 11, 25), "Late", None, ""),
        (date(2026, 12, 26), "Due", None, ""),
        (date(2026, 12, 27), "Coming", None, ""),
        (None, "Day not known", None, ""),
    ]
    assert found.sentence == (
        "1 report is late, 1 is due, 1 comes later, of 1 the day is not known and 3 were sent. "
        "Asked: from 26 November 2025 to 26 November 2027."
    )
    assert found.missing[0].words.startswith("Of 1 that was sent no sending and no scan is named")
    assert links(found, "report")[0] == f"/reports/{report.pk}/"


def test_reports_that_answer_no_duty_stand_beside() -> None:
    """What was issued and answers a duty by its sending is told there alone; what was withdrawn is told nowhere."""
    answered = reports.issued_report(reference="RP-ANSWERS")
    reports.sending(answered, duty=owed(date(2026, 12, 1)))
    sent, _unsent = (reports.issued_report(reference=f"RP-{word}") for word in ("SENT", "UNSENT"))
    reports.sending(sent, sent_on=date(2026, 11, 20))
    gone = reports.issued_report(reference="RP-GONE")
    type(gone).objects.filter(pk=gone.pk).update(
        withdrawn_at=timezone.now(), withdrawn_by=gone.issued_by, withdrawn_why="wrong"
    )
    found = put(KEY, to="2027-12-31")
    assert column(found, "report", "state", "sent") == [
        ("RP-ANSWERS", "Due", timezone.localdate()), ("RP-SENT", "Sent", date(2026, 11, 20)),
        ("RP-UNSENT", "Issued, not sent", None),
    ]  # fmt: skip


def test_words_of_a_restricted_paper_stay_with_its_readers() -> None:
    paper = register.paper("CLOSED")
    owed(date(2026, 12, 1), paper=paper, what="Zzwhat", to_whom="Zzwhom")
    done(date(2026, 1, 1), paper=paper, done_how="Zzhow")
    reports.sending(reports.issued_report(kind="agency", paper=paper), proof="Zzproof", to_whom="Zzwhom")
    Paper.objects.filter(pk=paper.pk).update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    found = put(KEY, Role.AUDITOR, to="2027-12-31")
    assert "Zz" in told(put(KEY, Role.REGISTRAR, to="2027-12-31")) and "Zz" not in told(found)
    assert column(found, "what", "state") == [("Send a report", "Done"), ("Send a report", "Due")]
    assert found.kept_back == (
        "Of 2 reports what is asked and how they were sent is for readers of their papers.",
        "1 report about a paper that is not open to you is left out.",
    )


def test_narrowed_to_a_country_and_a_paper() -> None:
    georgian, swedish = register.paper("GE-1"), register.paper("SE-1", jurisdiction="SE")
    for paper in (georgian, swedish):
        owed(date(2026, 12, 1), paper=paper)
    assert column(put(KEY, country="SE"), "paper") == ["SE-1"]
    assert column(put(KEY, paper="GE-1"), "paper") == ["GE-1"]
    assert put(KEY, paper="GE-1", to="2026-11-30").sentence == (
        "No report is asked for between 26 November 2025 and 30 November 2026, as far as duties are entered."
    )


@pytest.mark.parametrize("count", [1, 5])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        owed(date(2026, 12, 1), paper=register.paper(f"P-{number}"), assignee=register.person())
    reports.sending(reports.issued_report())
    with django_assert_num_queries(9):
        assert len(column(put(KEY, to="2027-12-31"), "what")) == count + 1
