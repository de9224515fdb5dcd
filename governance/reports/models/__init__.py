"""Reports, the rows behind their figures, their files, sendings, and pages shared with readers."""

from governance.reports.models.reports import (
    Report,
    ReportChunk,
    ReportFile,
    ReportKind,
    ReportLanguage,
    ReportSending,
    ReportTable,
)
from governance.reports.models.shares import ShareLink, ShareMessage, ShareReport, ShareVisit

__all__ = [
    "Report",
    "ReportChunk",
    "ReportFile",
    "ReportKind",
    "ReportLanguage",
    "ReportSending",
    "ReportTable",
    "ShareLink",
    "ShareMessage",
    "ShareReport",
    "ShareVisit",
]
