"""Rows of a report as they are kept: in pieces, hashed, put in force at one stroke; nothing is unpacked in vain."""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.papers.restriction import RestrictedPaperError
from governance.reports import composing as composers
from governance.reports import tables
from governance.reports.actions import drafting
from governance.reports.actions.composing import compose_now
from governance.reports.actions.errors import ReportError, SupersededError
from governance.reports.actions.storing import put_in_force, write_tables
from governance.reports.actions.work import begin_work
from governance.reports.models import Report, ReportChunk, ReportTable
from governance.reports.queries.stored import ROWS_A_CHUNK, stored, table_of
from tests.factories import register, reports

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate()


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


def many(count: int) -> list[Any]:
    return [reports.material(number) for number in range(count)]


def test_rows_come_back_as_they_went_in(registrar: User) -> None:
    """Also None, letters beyond ASCII, and the line separator of Unicode, which is no end of a line here."""
    odd = reports.material(7, locality="Ríó\u2028 ‘x’", latitude_deg=None, individuals=3)
    report = reports.stored_draft({"material": [*many(2), odd]}, by=registrar)
    whole = stored(report)
    assert [tuple(row) for row in whole.tables["material"].rows] == [*many(2), odd]
    assert whole.tables["material"].columns == tables.COLUMNS["material"]
    assert whole.contents.disclosure.kept_back[0].values == {"n": 1}


def test_hash_is_that_of_the_plain_lines(registrar: User) -> None:
    """SHA-256 by the standard library over what anybody would write by hand: one JSON array a line."""
    report = reports.stored_draft({"material": many(3)}, by=registrar)
    lines = "".join(json.dumps(list(row), ensure_ascii=False, separators=(",", ":")) + "\n" for row in many(3))
    assert ReportTable.objects.get(report=report, key="material").sha256 == hashlib.sha256(lines.encode()).hexdigest()


def test_page_of_rows_unpacks_its_own_piece_alone(
    registrar: User, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """2,500 rows are three pieces; the last page stands in one, and a page across an edge in two."""
    report = reports.stored_draft({"material": many(2_500)}, by=registrar)
    assert ReportChunk.objects.filter(table__report=report).count() == 3
    rows = table_of(report, "material").rows
    with django_assert_num_queries(1):
        assert [row[0] for row in rows[2_450:2_500]] == [f"LMN-FW-{number:07d}" for number in range(2_450, 2_500)]
    with django_assert_num_queries(3):  # the table, and two pieces
        assert len(table_of(report, "material").rows[ROWS_A_CHUNK - 25 : ROWS_A_CHUNK + 25]) == 50
    assert rows[-1][0] == "LMN-FW-0002499"
    with pytest.raises(IndexError):
        rows[2_500]


def test_old_rows_stand_until_the_new_ones_are_whole(registrar: User) -> None:
    report = reports.stored_draft({"material": many(2)}, by=registrar)
    current = begin_work(report, by=registrar)
    write_tables(current, reports.composed(report, {"material": many(5)}).tables, lambda *_told: None)
    assert len(table_of(report, "material").rows) == 2
    with transaction.atomic():
        put_in_force(current, reports.composed(report, {"material": many(5)}), by=registrar)
    assert len(table_of(report, "material").rows) == 5
    assert ReportTable.objects.filter(report=report).count() == 1


# Composing ------------------------------------------------------------------------------------------------------------


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What composing finds: rows by table, or an error; what it does on the way."""
    told: dict[str, Any] = {"rows": {"material": many(3)}, "on_the_way": lambda: None}

    def compose(report: Report, *, reader: Any, today: Any, progress: Any) -> Any:
        progress("material", 1, 3)
        told["on_the_way"]()
        if "error" in told:
            raise told["error"]
        return reports.composed(report, told["rows"])

    monkeypatch.setattr(composers, "compose", compose)
    return told


def test_composing_leaves_a_draft_at_rest(said: dict[str, Any], registrar: User) -> None:
    report, steps = reports.draft(), []
    compose_now(report=report, by=registrar, today=TODAY, progress=lambda *step: steps.append(step))
    report.refresh_from_db()
    assert (report.work, report.work_mark, report.work_sign, report.composed_by) == ("", "", None, registrar)
    assert report.contents is not None
    assert report.contents["figures"][0]["value"] == "3"
    assert ("material", 1, 3) in steps
    assert report.history.first().history_change_reason == "composed"


def test_what_stops_composing_is_told_and_leaves_nothing(said: dict[str, Any], registrar: User) -> None:
    """The rows that stood before stand; those that were written are gone; it can be tried again at once."""
    report = reports.stored_draft({"material": many(2)}, by=registrar)
    said["error"] = ZeroDivisionError("x")
    with pytest.raises(ReportError, match="stopped by an error of the program"):
        compose_now(report=report, by=registrar, today=TODAY)
    report.refresh_from_db()
    assert report.work == "failed"
    assert "ZeroDivisionError" in report.work_step
    assert len(table_of(report, "material").rows) == 2
    assert not ReportTable.objects.filter(report=report).exclude(batch="").exists()
    del said["error"]
    compose_now(report=report, by=registrar, today=TODAY)
    assert len(table_of(report, "material").rows) == 3


def test_second_work_waits_unless_the_first_is_dead(said: dict[str, Any], registrar: User) -> None:
    report = reports.draft()
    begin_work(report, by=registrar)
    with pytest.raises(ReportError, match="being worked on already"):
        compose_now(report=report, by=registrar, today=TODAY)
    Report.objects.filter(pk=report.pk).update(work_sign=timezone.now() - timedelta(minutes=10))
    compose_now(report=report, by=registrar, today=TODAY)
    report.refresh_from_db()
    assert report.composed_at is not None


def test_draft_that_was_changed_meanwhile_keeps_nothing_of_the_old_work(said: dict[str, Any], registrar: User) -> None:
    """Somebody moves the period while it is composed: those rows would prove the figures of another year."""
    report = reports.draft()
    values = {"period_to": report.period_from}
    said["on_the_way"] = lambda: drafting.edit_draft(report=report, values=values, by=registrar, why="a day only")
    with pytest.raises(SupersededError):
        compose_now(report=report, by=registrar, today=TODAY)
    report.refresh_from_db()
    assert (report.contents, report.work, ReportTable.objects.filter(report=report).count()) == (None, "", 0)


def test_composing_asks_for_the_verb_and_the_paper(said: dict[str, Any], registrar: User) -> None:
    curator = register.person(Role.CURATOR)
    paper = register.paper(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="A name")
    report = reports.draft(paper=paper)
    with pytest.raises(NotAllowedError):
        compose_now(report=report, by=register.person(Role.VOLUNTEER), today=TODAY)
    with pytest.raises(RestrictedPaperError):
        compose_now(report=report, by=curator, today=TODAY)
    compose_now(report=report, by=registrar, today=TODAY)
    report.refresh_from_db()
    assert report.composed_by == registrar
