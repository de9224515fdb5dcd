"""Two at one report: whoever comes second waits or is told, and what was issued is whole. Work in the background."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.utils import timezone

from accessions.people.models import Role, User
from governance.reports import composing as composers
from governance.reports.actions.composing import ask_to_compose, compose_now
from governance.reports.actions.errors import ReportError
from governance.reports.actions.issuing import ask_to_issue, issue
from governance.reports.actions.work import begin_work
from governance.reports.models import Report, ReportFile, ReportTable
from governance.reports.queries import sizes
from governance.reports.queries.seals import seals_of
from governance.reports.queries.stored import substance, table_of
from tests.factories import register, reports

TODAY = timezone.localdate()


class Register:
    """Stands for the register while a report is composed: what it says, and what somebody else does meanwhile."""

    def __init__(self) -> None:
        self.numbers = [1, 2]
        self.meanwhile: list[Callable[[], Any]] = []

    def compose(self, report: Report, *, reader: Any, today: Any, progress: Any) -> Any:
        said = reports.composed(report, {"material": [reports.material(number) for number in self.numbers]})
        while self.meanwhile:
            self.meanwhile.pop()()
        return said


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> Register:
    made = Register()
    monkeypatch.setattr(composers, "compose", made.compose)
    return made


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


def refused(act: Callable[[], Any], words: str) -> Callable[[], None]:
    """Somebody else's try, which must be refused in these words."""

    def attempt() -> None:
        with pytest.raises(ReportError, match=words):
            act()

    return attempt


@pytest.mark.django_db
def test_second_issue_and_composing_wait_for_the_first(said: Register, registrar: User) -> None:
    report, other = reports.stored_draft(), register.person(Role.COMPLIANCE)
    said.meanwhile = [
        refused(lambda: issue(report=report, by=other), "being worked on already"),
        refused(lambda: compose_now(report=report, by=other, today=TODAY), "being worked on already"),
    ]
    done = issue(report=report, by=registrar)
    assert said.meanwhile == []
    assert (done.issued_by, ReportFile.objects.filter(report=report).count()) == (registrar, 2)


@pytest.mark.django_db
def test_work_that_was_given_up_does_not_touch_what_was_issued(said: Register, registrar: User) -> None:
    """The first gave no sign for ten minutes and was taken for dead; the second issued. The first comes to life."""
    report, other = reports.stored_draft(), register.person(Role.COMPLIANCE)

    def given_up() -> None:
        Report.objects.filter(pk=report.pk).update(work_sign=timezone.now() - timedelta(minutes=10))
        said.numbers = [7]
        issue(report=Report.objects.get(pk=report.pk), by=other)

    said.meanwhile = [given_up]
    with pytest.raises(ReportError):
        issue(report=report, by=registrar)
    fresh = Report.objects.get(pk=report.pk)
    assert (fresh.issued_by, fresh.work) == (other, "")
    assert [row[0] for row in table_of(fresh, "material").rows] == ["LMN-FW-0000007"]
    assert ReportTable.objects.filter(report=fresh).exclude(batch="").count() == 0
    assert all(seal.holds for seal in seals_of(fresh))


@pytest.mark.django_db(transaction=True)
def test_two_take_up_one_draft_at_once() -> None:
    """Both threads at the door together: one has the work, the other is told.

    The SQLite of tests lies in memory, where a second writer is refused at once instead of waiting: it comes again.
    """
    report, people = reports.draft(), [register.person(Role.REGISTRAR), register.person(Role.COMPLIANCE)]
    told: list[str] = []
    meeting = threading.Barrier(2, timeout=20)

    def taken_up(person: User) -> bool:
        try:
            told.append(begin_work(report, by=person).work)
        except ReportError:
            told.append("told")
        except OperationalError:
            if connection.vendor == "postgresql":
                raise
            return False
        return True

    def act(person: User) -> None:
        try:
            meeting.wait()
            until = time.monotonic() + 20
            while not taken_up(person) and time.monotonic() < until:
                pass
        finally:
            connection.close()

    threads = [threading.Thread(target=act, args=(person,)) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(told) == ["running", "told"]


# In the background ----------------------------------------------------------------------------------------------------


@pytest.mark.django_db
def test_large_ones_are_done_by_the_worker(
    said: Register, registrar: User, django_capture_on_commit_callbacks: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Composed; then issued, but it says another thing by then; then issued. Two rows are many here."""
    monkeypatch.setattr(sizes, "AT_ONCE", 1)
    report = reports.stored_draft()
    with django_capture_on_commit_callbacks(execute=False) as waiting:
        assert not ask_to_compose(report=report, by=registrar, today=TODAY)
    report.refresh_from_db()
    assert report.work == "waiting"
    for act in waiting:
        act()  # the worker of tests does it in place
    report.refresh_from_db()
    assert (report.work, len(table_of(report, "material").rows)) == ("", 2)
    seen, said.numbers = substance(report), [1, 2, 3]
    for is_issued in (False, True):
        with django_capture_on_commit_callbacks(execute=True):
            assert not ask_to_issue(report=report, by=registrar, seen=seen)
        report.refresh_from_db()
        assert (report.issued_at is not None, report.work) == (is_issued, "")
        assert (report.changed is None) is is_issued
        seen = substance(report)
