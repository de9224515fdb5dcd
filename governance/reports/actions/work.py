"""Work on a report that takes its time: one at a time, with signs of life, and what stopped it in words."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Final
from uuid import uuid4

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from governance.papers.restriction import check_readable
from governance.reports.actions.errors import ReportError, SupersededError
from governance.reports.models import Report, ReportTable

LONGEST_SILENCE: Final = timedelta(minutes=10)
"""Work that gave no sign for so long does not go on any more: its process was ended."""

_SIGN_EVERY_S: Final = 1.0

Progress = Callable[[str, int, int], None]
"""Told of each step: what is done, how much of it, of how much."""


def goes_on(report: Report, now: datetime) -> bool:
    """Whether work waits or runs, and gave a sign of life not long ago."""
    is_open = report.work in (Report.Work.WAITING, Report.Work.RUNNING)
    return is_open and report.work_sign is not None and now - report.work_sign < LONGEST_SILENCE


def held_draft(report: Report, *, by: Any) -> Report:
    """The row of a report that is still a draft, locked.

    Raises:
        ReportError: it was issued, or is gone.
        NotAllowedError: it is about a paper that the person may not read.
    """
    current = Report.objects.select_for_update().filter(pk=report.pk).first()
    if current is None:
        raise ReportError(_("This draft was discarded."))
    if current.paper is not None:
        check_readable(current.paper, by)
    if current.issued_at is not None:
        raise ReportError(_("%(number)s is issued and is not changed any more. Write a corrected one instead.")
                          % {"number": current.reference})  # fmt: skip
    return current


def begin_work(report: Report, *, by: Any, state: str = Report.Work.RUNNING, mark: str = "") -> Report:
    """Take up work on a draft, or the work that waits under a mark.

    Raises:
        ReportError: other work goes on, or it is no draft.
        SupersededError: the work of that mark is no longer wanted.
    """
    with transaction.atomic():
        current = held_draft(report, by=by)
        if mark and current.work_mark != mark:
            raise SupersededError(_("The draft was changed since; this work is no longer wanted."))
        if not mark and goes_on(current, timezone.now()):
            raise ReportError(_("%(number)s is being worked on already. Wait until that is done.")
                              % {"number": current.reference})  # fmt: skip
        start(current, state=state, mark=mark or uuid4().hex)
    return current


def start(report: Report, *, state: str, mark: str) -> None:
    """Write that work waits or runs; no history: it says nothing of the report."""
    report.work, report.work_mark, report.work_step = state, mark, ""
    report.work_done, report.work_total, report.work_sign = 0, 0, timezone.now()
    save_work(report)


_WORK: Final = ["work", "work_mark", "work_step", "work_done", "work_total", "work_sign"]


def save_work(report: Report) -> None:
    """Save how far work is, past the history."""
    Report.objects.filter(pk=report.pk).update(**{name: getattr(report, name) for name in _WORK})


def at_rest(report: Report) -> list[str]:
    """Set a report to rest; the names of the columns, for whoever saves it."""
    report.work, report.work_mark, report.work_step = Report.Work.NONE, "", ""
    report.work_done, report.work_total, report.work_sign = 0, 0, None
    return _WORK


def signs(report: Report, then: Progress | None = None) -> Progress:
    """Writes each step to the report, once a second at most, and tells ``then``.

    Raises:
        SupersededError: at a step, when the draft was changed or begun anew meanwhile.
    """
    newest = [0.0]

    def tell(step: str, done: int, total: int) -> None:
        if then is not None:
            then(step, done, total)
        if time.monotonic() - newest[0] < _SIGN_EVERY_S:
            return
        newest[0] = time.monotonic()
        mine = Report.objects.filter(pk=report.pk, work_mark=report.work_mark)
        if not mine.update(work_step=step[:200], work_done=done, work_total=total, work_sign=timezone.now()):
            raise SupersededError(_("The draft was changed meanwhile; this work is no longer wanted."))

    return tell


def fail(report: Report, words: str) -> None:
    """Write what stopped the work, if it is still wanted; and drop the rows that it wrote."""
    mine = Report.objects.filter(pk=report.pk, work_mark=report.work_mark)
    mine.update(work=Report.Work.FAILED, work_step=words[:200], work_sign=timezone.now())
    drop_rows(report)


def drop_rows(report: Report) -> None:
    """Take away rows that were written and never put in force."""
    ReportTable.objects.filter(report=report.pk, batch=report.work_mark).exclude(batch="").delete()
