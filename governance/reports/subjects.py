"""What a report is about, as lists and heads name it."""

from __future__ import annotations

from governance.papers.countries import country_name
from governance.reports.models import Report


def subject_of(report: Report) -> str:
    """The country, the paper, the owner or the accession."""
    if report.paper is not None:
        return report.paper.reference
    if report.agent is not None:
        return report.agent.name
    if report.accession is not None:
        return report.accession.number
    return country_name(report.country) if report.country else ""


def heading_of(report: Report) -> str:
    """The title that a person gave, or kind and subject: "Report to a landowner: Elin Dahl"."""
    return report.title or f"{report.get_kind_display()}: {subject_of(report)}"
