"""Reports issued: composed anew, written to files, and frozen; withdrawn for a reason, never changed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Final

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.announcing import announce
from accessions.people.history import record
from governance.papers.restriction import check_readable
from governance.reports.actions.answering import unmeet
from governance.reports.actions.composing import (
    COMPOSED,
    composed_from_register,
    in_background,
    keep_composed,
    stopped_in_words,
)
from governance.reports.actions.errors import ReportChangedError, ReportError
from governance.reports.actions.storing import put_in_force, write_tables
from governance.reports.actions.work import Progress, at_rest, begin_work, signs
from governance.reports.contents import Composed
from governance.reports.models import Report, ReportChunk, ReportFile, ReportSending, ReportTable
from governance.reports.queries.differences import differences
from governance.reports.queries.sizes import is_large
from governance.reports.queries.stored import contents_digest, stored, substance_of, told_of

_ISSUED: Final = [*COMPOSED, "issued_at", "issued_by", "digest"]


def issue(*, report: Report, by: Any, seen: str = "", today: date | None = None, progress: Progress | None = None,
          mark: str = "") -> Report:  # fmt: skip
    """Compose a draft as of today, write its files, and freeze all of it.

    Args:
        seen: the mark of what the person saw (``stored.substance``); "": whatever it says now is issued.
        mark: of the work that waits for this, if any does.

    Raises:
        ReportChangedError: it says another thing than the person saw; what it says now is the draft, not issued.
        ReportError: it is issued already, other work goes on, or it was stopped by an error.
        NotAllowedError: the person may not issue reports, or not read the paper that it is about.
    """
    check(by, Verb.ISSUE_REPORTS)
    current = begin_work(report, by=by, mark=mark)
    with stopped_in_words(current):
        tell = signs(current, progress)
        composed = composed_from_register(current, by, today or timezone.localdate(), tell)
        tables = write_tables(current, composed.tables, tell)
        contents = composed.contents.as_json()
        if seen and substance_of(contents, map(told_of, tables)) != seen:
            return _keep_as_draft(current, composed, by)
        return _freeze(current, composed, tables, _files(current, composed, tell), by)


def _keep_as_draft(report: Report, composed: Composed, by: Any) -> Report:
    changed = differences(stored(report), composed).as_json() if report.contents is not None else None
    with transaction.atomic():
        done = put_in_force(report, composed, by=by)
        keep_composed(done, by=by, why=gettext_noop("composed anew, and not issued: it changed"), changed=changed)
    raise ReportChangedError(_("%(number)s says another thing today than you saw. Look at what changed, then issue it.")
                             % {"number": report.reference})  # fmt: skip


def _freeze(report: Report, composed: Composed, tables: list[ReportTable], files: list[ReportFile], by: Any) -> Report:
    with transaction.atomic():
        done = put_in_force(report, composed, by=by)
        ReportFile.objects.filter(report=done).delete()
        for file in files:
            file.report = done
            file.save()
        pairs = sorted((file.format, file.sha256) for file in files)
        done.digest = contents_digest(_plain(composed), map(told_of, tables), pairs)
        done.issued_at = done.composed_at = timezone.now()
        done.issued_by = done.composed_by = by
        done.changed = None
        record(done, by=by, why=gettext_noop("issued"), fields=[*_ISSUED, *at_rest(done)])
        _announce_rows(tables, by)
    return done


def _announce_rows(tables: list[ReportTable], by: Any) -> None:
    """From now on they are never changed, so the seal takes them up; those of a draft it does not know."""
    keys = [table.pk for table in tables]
    announce(ReportTable, keys, by=by)
    announce(ReportChunk, ReportChunk.objects.filter(table__in=keys).order_by("pk").values_list("pk", flat=True), by=by)


def _plain(composed: Composed) -> Mapping[str, Any]:
    return composed.contents.as_json()


def _files(report: Report, composed: Composed, tell: Progress) -> list[ReportFile]:
    from governance.reports.writing.docx import report_docx
    from governance.reports.writing.workbook import report_workbook

    made_at = timezone.now()
    tell(_("Writing the document"), 0, 2)
    document = report_docx(composed, report.language, made_at=made_at, draft=False, title=report.title)
    tell(_("Writing the workbook"), 1, 2)
    workbook = report_workbook(composed, report.language, made_at=made_at)
    Format = ReportFile.Format
    return [_file(report, Format.DOCX, document, made_at), _file(report, Format.XLSX, workbook, made_at)]


def _file(report: Report, kind: str, data: bytes, made_at: datetime) -> ReportFile:
    name = file_name(report, kind, timezone.localtime(made_at).date())
    return ReportFile(format=kind, name=name, data=data, size_bytes=len(data), sha256=hashlib.sha256(data).hexdigest())


def file_name(report: Report, kind: str, on: date) -> str:
    """``rp-2026-001-en-2026-11-26.docx``."""
    return f"{slugify(report.reference) or report.pk}-{report.language}-{on.isoformat()}.{kind}"


def ask_to_issue(*, report: Report, by: Any, seen: str) -> bool:
    """Issue at once, or in the background where it takes long; whether it is done.

    Raises:
        ReportChangedError, ReportError, NotAllowedError: as ``issue``.
    """
    from governance.reports.tasks import issue_report

    check(by, Verb.ISSUE_REPORTS)
    if not is_large(report):
        issue(report=report, by=by, seen=seen)
        return True
    in_background(report, lambda mark: issue_report.enqueue(report.pk, by.pk, seen, mark), by=by)
    return False


def withdraw(*, report: Report, by: Any, why: str) -> Report:
    """Withdraw an issued report: it stays to be read, and says that it no longer stands. A duty that it did is open
    again, unless another report that was sent did it too.

    Raises:
        ReportError: it is not issued, withdrawn already, no reason is given, or the duty that it did is accepted.
    """
    check(by, Verb.ISSUE_REPORTS)
    with transaction.atomic():
        current = held_issued(report, by=by)
        if current.withdrawn_at is not None:
            raise ReportError(_("%(number)s is withdrawn already.") % {"number": current.reference})
        if not why.strip():
            raise ReportError(_("Say why it is withdrawn."))
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_why = timezone.now(), by, why.strip()[:300]
        record(current, by=by, why=why, fields=["withdrawn_at", "withdrawn_by", "withdrawn_why"])
        sendings = ReportSending.objects.filter(report=current, voided_at__isnull=True)
        for sending in sendings.select_related("report", "duty").order_by("-sent_on", "-pk"):
            unmeet(sending, by=by, why=why)
    return current


def held_issued(report: Report, *, by: Any) -> Report:
    """The row of an issued report, locked.

    Raises:
        ReportError: it is a draft.
        NotAllowedError: it is about a paper that the person may not read.
    """
    current = Report.objects.select_for_update().get(pk=report.pk)
    if current.paper is not None:
        check_readable(current.paper, by)
    if current.issued_at is None:
        raise ReportError(_("%(number)s is a draft. Issue it first.") % {"number": current.reference})
    return current
