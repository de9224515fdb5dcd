"""Reports for tests: drafts with rows of their own, minimal and valid; what matters to a test it sets itself."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from itertools import count
from typing import Any

from django.db import transaction
from django.utils import timezone

from governance.reports import tables
from governance.reports.actions.composing import keep_composed
from governance.reports.actions.storing import put_in_force, write_tables
from governance.reports.actions.work import begin_work
from governance.reports.contents import (
    Composed,
    Contents,
    Disclosure,
    Fact,
    Figure,
    Note,
    Row,
    TableData,
    Value,
    figure,
)
from governance.reports.models import Report, ReportFile, ReportSending, ShareLink
from tests.factories.register import digest_of, person

_numbers = count(1)

SPECIMEN: Mapping[str, Value] = {
    "specimen": "LMN-FW-0000001", "accession": "LMN-2024-038", "kind": "specimen", "individuals": 1,
    "taxon": "Calopteryx splendens", "first_on": "2024-06-17", "last_on": "2024-06-17", "site": "Nazvri, upper bridge",
    "locality": "Nazvri", "latitude_deg": "42.084", "longitude_deg": "43.903", "now": "here", "verdict": "covered",
}  # fmt: skip
"""A specimen of the table ``material``; columns that are not named here are None."""


def row_of(table: str, **values: Value) -> Row:
    """A row of a table, by its columns; those that are not told are None.

    Raises:
        KeyError: the table has no such column.
    """
    columns = [column.key for column in tables.COLUMNS[table]]
    if unknown := set(values) - set(columns):
        raise KeyError(f"table {table} has no columns {sorted(unknown)}")
    return tuple(values.get(key) for key in columns)


def material(number: int, **values: Value) -> Row:
    """A row of the table of material, of the specimen with that number."""
    return row_of("material", **{**SPECIMEN, "specimen": f"LMN-FW-{number:07d}", **values})


def draft(**values: Any) -> Report:
    """A report to Georgia on the year 2025, not composed."""
    told = {
        "reference": f"RP-T-{next(_numbers)}", "kind": "provider", "period_from": date(2025, 1, 1),
        "period_to": date(2025, 12, 31),
    } | values  # fmt: skip
    if not {"country", "paper", "agent", "accession"} & set(values):
        told["country"] = "GE"
    return Report.objects.create(**told)


def composed(report: Report, rows: Mapping[str, Sequence[Row]] | None = None, **values: Any) -> Composed:
    """A composing of a report that holds these rows by table, with one figure: how many rows of material there are."""
    data: dict[str, TableData] = {key: tables.table(key, some) for key, some in (rows or {}).items()}
    data.setdefault("material", tables.table("material", [material(1), material(2)]))
    figures: tuple[Figure, ...] = (figure("specimens", data["material"]),)
    told: dict[str, Any] = {
        "kind": report.kind, "reference": report.reference, "subject": "Georgia", "country": "GE",
        "made_on": "2026-11-26", "period_from": "2025-01-01", "period_to": "2025-12-31",
        "disclosure": Disclosure("provider", "exact", kept_back=(
            Note("papers_kept_back", "disclosure", {"n": 1}),
        )),
        "parts": ("agreement", "material", "exceptions", "unknown"), "facts": (Fact("country", "GE"),),
        "figures": figures, "texts": dict(report.texts),
    } | values  # fmt: skip
    return Composed(Contents(**told), data)


def stored_draft(
    rows: Mapping[str, Sequence[Row]] | None = None, *, by: Any = None, told: Mapping[str, Any] | None = None,
    **values: Any,
) -> Report:  # fmt: skip
    """A draft whose rows are stored as composing stores them. told: of the contents."""
    report = draft(**values)
    return store(report, composed(report, rows, **(told or {})), by=by or person("registrar"))


def store(report: Report, whole: Composed, *, by: Any) -> Report:
    """Put a composing in force, past the register."""
    current = begin_work(report, by=by)
    write_tables(current, whole.tables, lambda _step, _done, _total: None)
    with transaction.atomic():
        done = put_in_force(current, whole, by=by)
        keep_composed(done, by=by, why="composed")
    return done


def issued_report(**values: Any) -> Report:
    """A report that counts as issued, past the action and without files."""
    report = stored_draft(**values)
    report.issued_at, report.issued_by, report.digest = timezone.now(), person("registrar"), "0" * 64
    report.save()
    return report


def file(of: Report, kind: str = "docx", data: bytes = b"as issued") -> ReportFile:
    """A file of an issued report."""
    return ReportFile.objects.create(
        report=of, format=kind, name=f"report.{kind}", data=data, size_bytes=len(data),
        sha256=hashlib.sha256(data).hexdigest(),
    )  # fmt: skip


def sending(of: Report, **values: Any) -> ReportSending:
    """Sent today by registered mail, past the action."""
    told = {
        "sent_on": timezone.localdate(), "to_whom": "Nazvri Directorate", "how": "registered mail",
        "proof": "Receipt 4711, in the file.", "recorded_by": person("registrar"), "duty": of.duty,
    } | values  # fmt: skip
    return ReportSending.objects.create(report=of, **told)


def share_link(**values: Any) -> ShareLink:
    """A page about Georgia that is open for a month, past the action; nobody has its address."""
    told = {
        "name": "Nazvri Directorate", "open_until": timezone.localdate() + timedelta(30),
        "made_by": person("registrar"),
        "secret_sha256": digest_of(str(next(_numbers))),
    } | values  # fmt: skip
    if not {"country", "paper", "agent"} & set(values):
        told["country"] = "GE"
    return ShareLink.objects.create(**told)
