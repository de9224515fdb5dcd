"""One report: whether a person may see it, what its page shows beside the preview."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from governance.papers.restriction import check_readable
from governance.reports.contents import ROWS, Proof, Value
from governance.reports.models import Report, ReportFile, ReportSending
from governance.reports.queries.listing import State, Wanted, in_state, reports, state_of
from governance.reports.queries.told_papers import check_told, is_shut_to

WITHOUT = "without"
"""Names columns that are empty; what is asked of a column stands under its own name."""

MEASURE = "measure"


def check_visible(report: Report, reader: Any) -> None:
    """Refuse who may not read the paper that a report is about, or, once it is issued, one of which it tells.

    Raises:
        RestrictedPaperError: says who may.
    """
    if report.paper is not None:
        check_readable(report.paper, reader)
    if report.issued_at is not None:
        check_told(report, reader)


def found_report(pk: int, reader: Any) -> Report:
    """The report of an address, for somebody who may see it. Of a draft that tells of a paper that is restricted by now
    nothing is here before it is composed anew (``is_shut``).

    Raises:
        Http404: there is none.
        RestrictedPaperError: it is about a paper that is not for this person, or tells of one and is issued.
    """
    rows = Report.objects.select_related(
        "paper", "agent", "accession", "duty__paper", "corrects", "composed_by", "issued_by", "withdrawn_by",
    )  # fmt: skip
    found = get_object_or_404(rows, pk=pk)
    check_visible(found, reader)
    found.is_shut = found.issued_at is None and is_shut_to(found, reader)  # type: ignore[attr-defined]
    if found.is_shut:  # type: ignore[attr-defined]
        found.contents = found.changed = None
    return found


@dataclass(frozen=True)
class Standing:
    """How a report stands, with how it was sent."""

    state: State
    sendings: tuple[ReportSending, ...]
    files: tuple[ReportFile, ...]
    corrected_by: Report | None

    @property
    def sent(self) -> ReportSending | None:
        """The newest sending that was not voided."""
        return next((one for one in reversed(self.sendings) if one.voided_at is None), None)


def standing(report: Report) -> Standing:
    """Three queries: sendings, files without their bytes, the report that corrects it."""
    sendings = tuple(ReportSending.objects.filter(report=report).select_related(
        "recorded_by", "voided_by", "scan", "duty").order_by("sent_on", "pk"))  # fmt: skip
    files = tuple(ReportFile.objects.filter(report=report).defer("data"))
    later = Report.objects.filter(corrects=report).defer("contents", "texts").order_by("-issued_at", "-pk").first()
    report.last_sent_on = next((s.sent_on for s in sendings if s.voided_at is None), None)  # type: ignore[attr-defined]
    return Standing(state_of(report), sendings, files, later)


def rows_address(report: Report, proof: Proof) -> str:
    """Where the rows behind a number are shown."""
    return f"{reverse('reports:report-rows', args=[report.pk, proof.table])}{query_of(proof)}"


def query_of(proof: Proof) -> str:
    """The rows that a proof names, as an address asks for them: "?kind=lot&without=holder"."""
    told: list[tuple[str, Value]] = [(key, value) for key, value in proof.where.items() if value is not None]
    told += [(WITHOUT, key) for key, value in proof.where.items() if value is None]
    if proof.measure != ROWS:
        told.append((MEASURE, proof.measure))
    return f"?{urlencode(told)}" if told else ""


def reports_of(reader: Any, **about: Any) -> QuerySet[Report]:
    """Reports about a duty or a paper, for panels on other pages; the newest first."""
    return reports(Wanted(), reader).filter(**about).order_by("-pk")


def waiting(reader: Any) -> Mapping[str, Any]:
    """Drafts that wait, and what was issued and not sent, for the page of the day."""
    rows = reports(Wanted(), reader)
    return {
        "drafts": list(rows.filter(in_state(State.DRAFT))[:6]), "unsent": list(rows.filter(in_state(State.ISSUED))[:6]),
    }  # fmt: skip
