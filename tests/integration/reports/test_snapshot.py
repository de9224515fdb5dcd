"""Composing reads one moment of the register, on PostgreSQL; steps are seen by others at once."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from django.db import connection, connections
from django.utils import timezone

from accessions.material.models import Specimen
from accessions.people.models import Role
from governance.reports import composing as composers
from governance.reports.actions.composing import compose_now
from governance.reports.models import Report
from tests.factories import register, reports

pytestmark = pytest.mark.django_db(transaction=True)


def beside(act: Any) -> Any:
    """What somebody else does, on a connection of their own."""
    found: list[Any] = []

    def run() -> None:
        found.append(act())
        connections.close_all()

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(10)
    return found[0]


def test_what_comes_in_meanwhile_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    report, by = reports.draft(), register.person(Role.REGISTRAR)
    seen: dict[str, Any] = {}

    def compose(report: Report, *, reader: Any, today: Any, progress: Any) -> Any:
        seen["first"] = Specimen.objects.count()
        beside(register.specimen)
        seen["then"] = Specimen.objects.count()
        progress("material", 1, 2)
        seen["step"] = beside(lambda: Report.objects.values_list("work_step", flat=True).get(pk=report.pk))
        return reports.composed(report)

    monkeypatch.setattr(composers, "compose", compose)
    compose_now(report=report, by=by, today=timezone.localdate())
    assert seen == {"first": 0, "then": 0, "step": "material"}
    assert Specimen.objects.count() == 1
    report.refresh_from_db()
    assert report.contents is not None


def test_draft_that_is_changed_meanwhile_is_superseded(monkeypatch: pytest.MonkeyPatch) -> None:
    """The step says so at once, in words, and is no error of the program."""
    from governance.reports.actions.errors import SupersededError

    report, by = reports.draft(), register.person(Role.REGISTRAR)

    def compose(report: Report, *, reader: Any, today: Any, progress: Any) -> Any:
        assert Report.objects.filter(pk=report.pk).exists()
        beside(lambda: Report.objects.filter(pk=report.pk).update(work_mark="other"))
        progress("material", 1, 2)
        raise AssertionError("the step was taken")

    monkeypatch.setattr(composers, "compose", compose)
    with pytest.raises(SupersededError):
        compose_now(report=report, by=by, today=timezone.localdate())


if connection.vendor != "postgresql":  # SQLite has one writer and nothing is held there: these are no tests of it
    del test_what_comes_in_meanwhile_is_not_read, test_draft_that_is_changed_meanwhile_is_superseded
