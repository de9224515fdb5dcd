"""How large a report is, before it is composed: what is small is done at once, the rest in the background."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from accessions.material.models import Specimen
from governance.reports.models import Report, ReportKind, ReportTable

AT_ONCE: Final = 5_000
"""Specimens up to which a person waits for the page."""

_OF_SPECIMENS: Final = ("material", "used", "unknown", "species")


def is_large(report: Report) -> bool:
    """Whether composing takes so long that it belongs in the background. Of a draft that was composed its rows say so;
    of a new one an upper bound: the specimens of its accession, or of its country, or all."""
    if report.contents is not None:
        rows = ReportTable.objects.filter(report=report, batch="", key__in=_OF_SPECIMENS)
        return any(count > AT_ONCE for count in rows.values_list("row_count", flat=True))
    return _at_most(report) > AT_ONCE


@dataclass(frozen=True)
class Counted:
    """How much a composed report holds."""

    figures: int
    tables: int
    rows: int


def counted(report: Report) -> Counted:
    """Figures, tables and rows of a composed report."""
    rows = list(ReportTable.objects.filter(report=report, batch="").values_list("row_count", flat=True))
    return Counted(len((report.contents or {}).get("figures", ())), len(rows), sum(rows))


def _at_most(report: Report) -> int:
    """Counted no further than needed: what is more than ``AT_ONCE`` is large."""
    specimens = Specimen.objects.order_by()
    if report.accession_id is not None:
        specimens = specimens.filter(accession=report.accession_id)
    elif report.country and report.kind in (ReportKind.PROVIDER, ReportKind.BENEFITS):
        specimens = specimens.filter(event__country=report.country)
    return specimens[: AT_ONCE + 1].count()
