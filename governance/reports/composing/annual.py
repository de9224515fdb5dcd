"""The annual report on benefits, of a country or of an agreement: what was used, and what was shared for it."""

from __future__ import annotations

from datetime import date
from typing import Final

from accessions.people.models import User
from governance.reports.composing.gathering import composed_of
from governance.reports.composing.scope import Progress, Scope
from governance.reports.contents import Composed
from governance.reports.models import Report

TABLES: Final = (
    "papers", "material", "uses", "used", "publications", "deposits", "promises", "given", "duties", "unknown",
)  # fmt: skip
"""Its tables, in their order."""


def composed(report: Report, reader: User, today: date, progress: Progress | None = None) -> Composed:
    """The report as the register stands."""
    return composed_of(Scope.of(report, reader, today, progress), TABLES)
