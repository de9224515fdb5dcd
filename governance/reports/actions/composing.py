"""Drafts composed from the register: small ones at once, large ones in the background."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import NotAllowedError, Verb, check
from accessions.people.history import record
from governance.reports.actions.errors import ReportError, SupersededError
from governance.reports.actions.snapshot import of_one_moment
from governance.reports.actions.storing import put_in_force, write_tables
from governance.reports.actions.work import Progress, at_rest, begin_work, drop_rows, fail, signs
from governance.reports.contents import Composed
from governance.reports.models import Report
from governance.reports.queries.sizes import is_large

_log: Final = logging.getLogger("governance.reports")

COMPOSED: Final = ["contents", "composed_at", "composed_by", "changed"]


def compose_now(*, report: Report, by: Any, today: date, progress: Progress | None = None, mark: str = "") -> Report:
    """Compose a draft from the register as it is now. mark: of the work that waits for this, if any does.

    Raises:
        ReportError: it is issued, other work goes on, or the composing was stopped by an error.
        NotAllowedError: the person may not draft reports, or not read the paper that it is about.
    """
    check(by, Verb.WRITE_REPORTS)
    current = begin_work(report, by=by, mark=mark)
    with stopped_in_words(current):
        tell = signs(current, progress)
        composed = composed_from_register(current, by, today, tell)
        write_tables(current, composed.tables, tell)
        with transaction.atomic():
            done = put_in_force(current, composed, by=by)
            keep_composed(done, by=by, why=gettext_noop("composed"))
    return done


def composed_from_register(report: Report, by: Any, today: date, tell: Progress) -> Composed:
    """What the register says of a report today, all of it as of one moment; nothing is written."""
    from governance.reports.composing import compose

    with of_one_moment(tell) as progress:
        return compose(report, reader=by, today=today, progress=progress)


def keep_composed(report: Report, *, by: Any, why: str, changed: dict[str, Any] | None = None) -> None:
    """Save a draft whose rows were put in force; changed: what is another than before."""
    report.composed_at, report.composed_by, report.changed = timezone.now(), by, changed
    record(report, by=by, why=why, fields=[*COMPOSED, *at_rest(report)])


@contextmanager
def stopped_in_words(report: Report) -> Iterator[None]:
    """Whatever stops the work is written down in words, and the rows that it wrote go.

    Raises:
        ReportError: in place of a fault of the program, which goes to the log.
    """
    try:
        yield
    except SupersededError:
        drop_rows(report)
        raise
    except (ReportError, NotAllowedError) as error:
        fail(report, str(error))
        raise
    except Exception as error:
        _log.exception("Work on report %s was stopped by an error", report.reference)
        fail(report, _("An error of the program stopped it (%(name)s). The log of the server says where.")
             % {"name": type(error).__name__})  # fmt: skip
        raise ReportError(_("It was stopped by an error of the program. Nothing of the draft is lost; try again, "
                            "and tell whoever runs the server if it happens once more.")) from error  # fmt: skip


def ask_to_compose(*, report: Report, by: Any, today: date) -> bool:
    """Compose at once, or in the background where it takes long; whether it is done.

    Raises:
        ReportError, NotAllowedError: as ``compose_now``.
    """
    from governance.reports.tasks import compose_report

    check(by, Verb.WRITE_REPORTS)
    if not is_large(report):
        compose_now(report=report, by=by, today=today)
        return True
    in_background(report, lambda mark: compose_report.enqueue(report.pk, by.pk, mark), by=by)
    return False


def in_background(report: Report, enqueue: Callable[[str], Any], *, by: Any) -> None:
    """Mark a draft as waiting, and ask the worker once that is written."""
    with transaction.atomic():
        waiting = begin_work(report, by=by, state=Report.Work.WAITING)
        transaction.on_commit(lambda: enqueue(waiting.work_mark))
