"""How far the reading of a scan has come."""

from __future__ import annotations

from dataclasses import dataclass

from governance.scans.models import Scan


@dataclass(frozen=True)
class Progress:
    """So many pages of so many are read. of: None for what has no pages of its own."""

    read: int
    of: int | None
    is_waiting: bool


def progress(scan: Scan) -> Progress:
    """One query while a scan is being read, none before and after."""
    is_waiting = scan.text_state == Scan.TextState.WAITING
    return Progress(scan.pages.count() if is_waiting else 0, scan.page_count, is_waiting)
