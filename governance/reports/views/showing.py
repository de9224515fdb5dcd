"""What the pages of one report show alike: the preview, the checklist, the history."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from django.core.cache import cache
from django.core.exceptions import ValidationError

from accessions.people.changes import Change, changes_of, newest_first
from governance.papers.printed.blocks import Printed
from governance.reports.contents import Composed
from governance.reports.models import Report, ReportSending
from governance.reports.queries.one_report import rows_address
from governance.reports.queries.sizes import AT_ONCE
from governance.reports.queries.stored import stored, substance
from governance.reports.writing.printed import printed_report

_KEPT_S = 24 * 60 * 60

MOST_ROWS = 40
"""Rows of a table on the page; the rest stand on the page of the rows."""


def preview_of(report: Report, composed: Composed | None = None) -> Printed | None:
    """The report as it will print, each figure a link to its rows; None: it is not composed yet.

    Of a large one it is kept for a day: 200,000 rows take seconds to sum up, and what is stored does not change.
    """
    if report.contents is None:
        return None
    whole = composed or stored(report)
    if all(len(one.rows) <= AT_ONCE for one in whole.tables.values()):
        return _printed(report, whole)
    title = hashlib.sha256(report.title.encode()).hexdigest()[:16]
    key = f"report-preview-{report.pk}-{substance(report)}-{report.composed_at}-{report.language}-{title}"
    return cache.get_or_set(key.replace(" ", "T"), lambda: _printed(report, whole), _KEPT_S)


def _printed(report: Report, whole: Composed) -> Printed:
    return printed_report(
        whole, report.language, link=lambda proof: rows_address(report, proof), most_rows=MOST_ROWS, title=report.title
    )


def history_of(report: Report) -> Sequence[Change]:
    """Who did what with a report and its sendings."""
    return newest_first(
        changes_of(Report, id=report.pk), changes_of(ReportSending, called=str(ReportSending._meta.verbose_name),
                                                     report_id=report.pk)
    )  # fmt: skip


def kept_in_words(problem: Any) -> str:
    """A refusal as one message."""
    return " ".join(problem.messages) if isinstance(problem, ValidationError) else str(problem)
