"""Whether what was issued is still what was issued: every hash worked out again."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from itertools import count

from governance.reports.models import Report, ReportChunk, ReportFile, ReportTable
from governance.reports.queries.stored import contents_digest, plain_lines, tables_of, told_of


@dataclass(frozen=True)
class Seal:
    """One hash. kind: ``table``, ``file`` or ``report``. name: key of the table, format of the file."""

    kind: str
    name: str
    sha256: str
    holds: bool


def seals_of(report: Report) -> list[Seal]:
    """All hashes of an issued report, each worked out from what is kept: reads all of it."""
    tables, files = tables_of(report), list(ReportFile.objects.filter(report=report).order_by("format"))
    found = [Seal("file", one.format, one.sha256, _sha256(bytes(one.data)) == one.sha256) for one in files]
    found += [Seal("table", one.key, one.sha256, _rows_hold(one)) for one in tables]
    whole = contents_digest(report.contents or {}, map(told_of, tables), [(one.format, one.sha256) for one in files])
    return [Seal("report", report.reference, report.digest, whole == report.digest), *found]


def _rows_hold(table: ReportTable) -> bool:
    digest, rows = hashlib.sha256(), 0
    numbers = set(ReportChunk.objects.filter(table=table).values_list("number", flat=True))
    for number in count():
        if number not in numbers:
            break
        lines = plain_lines(table, number)
        digest.update(lines)
        rows += lines.count(b"\n")
    return digest.hexdigest() == table.sha256 and rows == table.row_count and number == len(numbers)


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
