"""Reports composed from the register: rows first, figures over them, notes on what is not known. One function a kind.

To add a kind: its module, its tables and parts in ``reports.tables``, and its line in ``COMPOSERS``.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from typing import Final

from accessions.people.models import User
from governance.reports.composing import agency, annual, certificate, diligence, landowner, provider
from governance.reports.composing.scope import Progress
from governance.reports.contents import Composed
from governance.reports.models import Report, ReportKind

Composer = Callable[[Report, User, date, Progress | None], Composed]
"""Of a report, for the person who composes it, on a day."""

COMPOSERS: Final[Mapping[ReportKind, Composer]] = {
    ReportKind.PROVIDER: provider.composed,
    ReportKind.BENEFITS: annual.composed,
    ReportKind.AGENCY: agency.composed,
    ReportKind.LANDOWNER: landowner.composed,
    ReportKind.DILIGENCE: diligence.composed,
    ReportKind.CERTIFICATE: certificate.composed,
}


def compose(report: Report, *, reader: User, today: date, progress: Progress | None = None) -> Composed:
    """A report as the register stands. Nothing is stored.

    Args:
        reader: who composes it: what they may not read does not go in.
        progress: told of each step: its key, how many rows are done, of how many.
    """
    with _without_gc():
        return COMPOSERS[ReportKind(report.kind)](report, reader, today, progress)


@contextmanager
def _without_gc() -> Iterator[None]:
    """Without the search for cycles: over the millions of rows of a large report, which hold none, it takes a sixth of
    the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
