"""Large reports in the background. On Django 6 the import below becomes ``django.tasks``."""

from __future__ import annotations

import logging
from typing import Final

from django.utils import timezone
from django_tasks import task

from accessions.people.access import NotAllowedError
from accessions.people.models import User
from governance.reports.actions.errors import ReportError
from governance.reports.models import Report

_log: Final = logging.getLogger("governance.reports")


@task(priority=-5)
def compose_report(report: int, user: int, mark: str) -> bool:
    """Compose a draft; whether it was done. What stopped it stands with the draft."""
    from governance.reports.actions.composing import compose_now

    row, by = Report.objects.filter(pk=report).first(), User.objects.filter(pk=user).first()
    if row is None or by is None:
        return False
    try:
        compose_now(report=row, by=by, today=timezone.localdate(), mark=mark)
    except (ReportError, NotAllowedError) as error:
        _log.info("%s was not composed: %s", row.reference, error)
        return False
    return True


@task(priority=-5)
def issue_report(report: int, user: int, seen: str, mark: str) -> bool:
    """Issue a draft; whether it was done. What stopped it stands with the draft."""
    from governance.reports.actions.issuing import issue

    row, by = Report.objects.filter(pk=report).first(), User.objects.filter(pk=user).first()
    if row is None or by is None:
        return False
    try:
        issue(report=row, by=by, seen=seen, mark=mark)
    except (ReportError, NotAllowedError) as error:
        _log.info("%s was not issued: %s", row.reference, error)
        return False
    return True


@task(priority=-5)
def compare_report(report: int, user: int) -> bool:
    """Hold an issued report against the register of today, and keep what differs with it."""
    from governance.reports.actions.comparing import compare_now

    row, by = Report.objects.filter(pk=report).first(), User.objects.filter(pk=user).first()
    if row is None or by is None:
        return False
    try:
        compare_now(report=row, by=by, today=timezone.localdate())
    except (ReportError, NotAllowedError) as error:
        _log.info("%s was not compared: %s", row.reference, error)
        return False
    return True
