"""One scan with everything that its page shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch
from django.utils.translation import gettext as _

from accessions.people.changes import Change, changes_of, newest_first
from governance.scans.models import Filing, Scan, ScanMark, ScanPage
from governance.scans.queries.pages import pages_with_words
from governance.scans.queries.visible import may_open


@dataclass(frozen=True)
class ScanView:
    """Everything of the page of a scan that the room itself knows."""

    scan: Scan
    standing: Sequence[Filing]
    ended: Sequence[Filing]
    pages: Sequence[ScanPage]
    changes: Sequence[Change]


STANDING_MARKS = Prefetch(
    "marks", ScanMark.objects.filter(withdrawn_at__isnull=True).select_related("other", "marked_by").order_by("pk"),
    to_attr="standing_marks",
)  # fmt: skip
"""What lists of scans prefetch, so that ``{% scan_marks %}`` asks the database once for all rows."""


def one_scan(pk: int) -> Scan | None:
    """A scan with its marks; None if there is none."""
    return Scan.objects.select_related("received_by").prefetch_related(STANDING_MARKS).filter(pk=pk).first()


def scan_view(scan: Scan) -> ScanView:
    """The page of a scan: four queries, whatever the number of pages."""
    filings = list(scan.filings.select_related("accession", "site", "filed_by", "taken_off_by"))
    return ScanView(
        scan=scan,
        standing=[filing for filing in filings if filing.taken_off_at is None],
        ended=[filing for filing in filings if filing.taken_off_at is not None],
        pages=pages_with_words(scan),
        changes=newest_first(changes_of(Scan, id=scan.pk), changes_of(ScanMark, scan_id=scan.pk)),
    )


def standing_marks(scan: Scan) -> list[ScanMark]:
    """The marks that nobody withdrew, from what was prefetched or by one query."""
    found = getattr(scan, "standing_marks", None)
    if found is None:
        found = list(scan.marks.filter(withdrawn_at__isnull=True).select_related("other", "marked_by").order_by("pk"))
    return list(found)


def mark_words(mark: ScanMark, user: Any) -> str:
    """``Translation of permit.pdf``; the name of a scan that is not open to the reader does not show."""
    kind = str(mark.get_kind_display())
    if mark.other is None:
        return _("Superseded") if mark.kind == ScanMark.Kind.SUPERSEDED else kind
    name = mark.other.original_name if may_open(user, mark.other) else _("a restricted scan")
    return f"{kind} {name}"
