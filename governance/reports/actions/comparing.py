"""Issued reports held against the register of today."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from governance.reports.actions.composing import composed_from_register
from governance.reports.actions.errors import ReportError
from governance.reports.models import Report
from governance.reports.queries.differences import Differences, differences
from governance.reports.queries.one_report import check_visible
from governance.reports.queries.sizes import is_large
from governance.reports.queries.stored import stored
from governance.reports.queries.told_papers import check_told


def difference_to_today(*, report: Report, by: Any, today: date) -> Differences:
    """What the register of today would say otherwise; nothing is written.

    Raises:
        ReportError: the report was never composed.
        NotAllowedError: it is about a paper that the person may not read.
    """
    check(by, Verb.READ)
    check_visible(report, by)
    check_told(report, by)
    if report.contents is None:
        raise ReportError(_("%(number)s is not composed yet.") % {"number": report.reference})
    return differences(stored(report), composed_from_register(report, by, today, _nobody))


def _nobody(_step: str, _done: int, _total: int) -> None:
    """Nobody waits for the steps."""


def compare_now(*, report: Report, by: Any, today: date) -> Differences:
    """The same, kept with the report: of a large one nobody waits for the page. No history: the report stays as it is.

    Raises:
        ReportError, NotAllowedError: as ``difference_to_today``.
    """
    found = difference_to_today(report=report, by=by, today=today)
    Report.objects.filter(pk=report.pk, digest=report.digest).update(changed=found.as_json())
    return found


def ask_to_compare(*, report: Report, by: Any) -> None:
    """Have a large report compared in the background."""
    from governance.reports.tasks import compare_report

    check(by, Verb.READ)
    check_visible(report, by)
    if is_large(report):
        compare_report.enqueue(report.pk, by.pk)
