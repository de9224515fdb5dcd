"""Where on its scan each reading of a paper stands, and which of its values were taken over from words of a scan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from governance.papers.models import AcceptedOffer, Paper, PaperScan, PaperVersion
from governance.papers.queries.beside import pages_of
from governance.scans.queries.visible import may_open


@dataclass(frozen=True)
class ReadingNotes:
    """pages: by subject, counted in the paper. filing: the scan that links go to; None if there is none to open.
    accepted: what was taken over for the face and for the version, newest first, whether or not it still stands."""

    pages: Mapping[str, int] = field(default_factory=dict)
    filing: PaperScan | None = None
    accepted: Sequence[AcceptedOffer] = ()


def reading_notes(paper: Paper, version: PaperVersion | None, user: Any) -> ReadingNotes:
    """Three queries, or two for a paper without version. For those who may read the paper."""
    filed = PaperScan.objects.filter(paper=paper, taken_off_at=None, scan__page_count__isnull=False)
    open_ones = [one for one in filed.select_related("scan").order_by("-pk") if may_open(user, one.scan)]
    accepted = AcceptedOffer.objects.filter(paper=paper).select_related("accepted_by").order_by("-pk")
    mine = [offer for offer in accepted if offer.version_id in (None, version.pk if version else None)]
    return ReadingNotes(pages_of(version), open_ones[0] if open_ones else None, mine)
