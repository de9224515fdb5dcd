"""Rows of a report written beside those in force, a thousand at a time, and put in force at one stroke.

Each piece is a short transaction of its own, so that a report of 200,000 specimens holds up nobody; what reads the
report sees the old rows until the last moment, and then the new ones.
"""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Mapping

from django.db import transaction
from django.utils.translation import gettext as _

from governance.reports.actions.errors import SupersededError
from governance.reports.actions.work import Progress, held_draft
from governance.reports.contents import Composed, TableData
from governance.reports.models import Report, ReportChunk, ReportTable
from governance.reports.queries.stored import columns_as_json, lines_in_chunks

_PACKED = 6  # of gzip: at 9 a table takes three times as long and a hundredth less


def write_tables(report: Report, tables: Mapping[str, TableData], tell: Progress) -> list[ReportTable]:
    """Write the tables of a composing under the mark of its work."""
    total, done, written = sum(len(one.rows) for one in tables.values()), 0, []
    for position, table in enumerate(tables.values()):
        row = ReportTable.objects.create(
            report=report, key=table.key, batch=report.work_mark, position=position, sha256="0" * 64,
            columns=columns_as_json(table.columns),
        )  # fmt: skip
        digest = hashlib.sha256()
        for number, lines in enumerate(lines_in_chunks(table.rows)):
            digest.update(lines)
            packed = gzip.compress(lines, _PACKED, mtime=0)
            ReportChunk.objects.create(table=row, number=number, data=packed)
            done += lines.count(b"\n")
            tell(_("Writing the rows"), done, total)
        row.row_count, row.sha256 = len(table.rows), digest.hexdigest()
        row.save(update_fields=["row_count", "sha256"])
        written.append(row)
    return written


def put_in_force(report: Report, composed: Composed, *, by: object) -> Report:
    """The draft, locked, with the rows of this work in place of those before; the caller saves the report itself, in
    the same transaction.

    Raises:
        SupersededError: the draft was changed, or begun anew, since the work was taken up.
        ReportError: it was issued or discarded meanwhile.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("rows are put in force together with the report that they prove")
    current = held_draft(report, by=by)
    if current.work_mark != report.work_mark:
        raise SupersededError(_("The draft was changed meanwhile; this work is no longer wanted."))
    ReportTable.objects.filter(report=current).exclude(batch=report.work_mark).delete()
    ReportTable.objects.filter(report=current, batch=report.work_mark).update(batch="")
    current.contents = composed.contents.as_json()
    return current
