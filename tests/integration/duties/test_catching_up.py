"""Duties follow a change that a page made, whatever else fails; and two runs at once do not get in each other's way."""

from __future__ import annotations

import threading
import time
from datetime import date
from typing import Any

import pytest
from django.core.management import call_command
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from governance.duties import middleware
from governance.duties.actions import working_out
from governance.duties.models import Duty, DutyRun
from governance.duties.queries import marks
from governance.duties.queries.expected import all_expected
from governance.duties.queries.marks import is_behind
from tests.factories import duties, register


def signed_in(client: Client) -> Any:
    person = register.person("registrar")
    client.force_login(person)
    return person


def change_something(client: Client) -> Any:
    """A page that changes what duties rest on: an accession."""
    accession = register.accession()
    values = {"number": accession.number, "title": "Flies", "kind": "unknown", "total_kind": "actual", "why": "named"}
    return client.post(reverse("material:accession-edit", args=[accession.pk]), values)


@pytest.mark.django_db
def test_a_change_by_a_page_is_followed(client: Client) -> None:
    person = signed_in(client)
    duties.duty_rule(register.paper())
    assert change_something(client).status_code == 302
    run = DutyRun.objects.get()
    assert (run.by, run.why, Duty.objects.count()) == (person, "after a change", 1)
    assert not is_behind()


@pytest.mark.django_db
def test_nothing_is_worked_out_where_nothing_asks(client: Client) -> None:
    """One query at the end of the request, and no run."""
    signed_in(client)
    assert change_something(client).status_code == 302
    assert not DutyRun.objects.exists()


@pytest.mark.django_db
def test_reading_and_refused_changes_set_nothing_off(client: Client) -> None:
    signed_in(client)
    duties.duty_rule(register.paper())
    client.get(reverse("duties:rules"))
    assert client.post(reverse("duties:rule-new"), {}).status_code == 422
    client.logout()
    client.post(reverse("people:sign-in"), {"username": "nobody", "password": "nothing"})
    assert not DutyRun.objects.exists()


@pytest.mark.django_db
def test_a_fault_of_the_duties_keeps_the_change(
    client: Client, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    signed_in(client)
    duties.duty_rule(register.paper())

    def fail(**_named: Any) -> None:
        raise RuntimeError("out of order")

    monkeypatch.setattr(middleware, "catch_up_soon", fail)
    assert change_something(client).status_code == 302
    assert "could not be worked out" in caplog.text
    assert is_behind()


@pytest.mark.django_db(transaction=True)
def test_a_large_register_is_caught_up_in_the_background(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """The task is run at once in tests: what is seen is that it came by the queue, whose reason is the same."""
    signed_in(client)
    duties.duty_house(follow_from=date(2024, 1, 1))
    paper = register.paper()
    duties.duty_rule(paper, when="after-collection", number=28)
    register.link(paper, accession=register.specimen(accession=register.accession("LMN-1")).accession)
    monkeypatch.setattr(marks, "MUCH", 0)
    assert working_out.catch_up_soon(by=None, why="after a change") is None
    assert DutyRun.objects.get().made == 1
    assert not is_behind()


@pytest.mark.django_db
def test_what_changes_while_facts_are_read_is_read_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Facts are read before the lock: a rule that came meanwhile must not be missed."""
    paper = register.paper()
    duties.duty_rule(paper)
    read = all_expected

    def slowly(**named: Any) -> Any:
        found = read(**named)
        monkeypatch.setattr(working_out, "all_expected", read)
        late = duties.duty_rule(paper, when="after-issue", number=1)
        late.save()
        return found

    monkeypatch.setattr(working_out, "all_expected", slowly)
    assert working_out.work_out(by=None, why="a test").made == 2
    assert not is_behind()


@pytest.mark.django_db(transaction=True)
def test_two_runs_at_once() -> None:
    """Each duty is made once, whichever run was quicker. SQLite in memory refuses who comes second, so that one tries
    again."""
    duties.duty_rule(register.paper())
    start, failed = threading.Barrier(2, timeout=20), []

    def is_over() -> bool:
        try:
            working_out.work_out(by=None, why="a test")
        except OperationalError:
            if connection.vendor == "postgresql":
                raise
            return False
        return True

    def run() -> None:
        try:
            start.wait()
            until = time.monotonic() + 20
            while not is_over() and time.monotonic() < until:
                pass
        except Exception as fault:
            failed.append(fault)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert failed == []
    assert (Duty.objects.count(), Duty.history.count()) == (1, 1)
    assert sorted(DutyRun.objects.values_list("made", flat=True)) == [0, 1]


@pytest.mark.django_db
def test_the_command_of_the_day(capsys: pytest.CaptureFixture[str]) -> None:
    duties.duty_rule(register.paper())
    call_command("work_out_duties")
    assert capsys.readouterr().out == "Duties: 1 new, 0 moved, 0 no longer asked for.\n"
