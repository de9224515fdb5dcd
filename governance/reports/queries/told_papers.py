"""Papers of which a stored report tells. One may be restricted after it was composed: from then on, what is stored is
for those alone who may read that paper."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from accessions.people.access import EVERY_ROLE
from governance.papers.models import Paper
from governance.papers.restriction import check_readable, is_readable, is_restricted
from governance.reports.models import Report


def restricted_in(report: Report) -> list[Paper]:
    """The papers of which it tells that some role may not read today: one query, none if it tells of no paper."""
    told = frozenset((report.contents or {}).get("papers", ()))
    if not told:
        return []
    return [paper for paper in Paper.objects.exclude(restricted_to=EVERY_ROLE).order_by("pk") if paper.pk in told]


def check_told(report: Report, reader: Any) -> None:
    """Refuse who may not read a paper of which a report tells.

    Raises:
        RestrictedPaperError: names the paper, and says who may.
    """
    for paper in restricted_in(report):
        check_readable(paper, reader)


def is_shut_to(report: Report, reader: Any) -> bool:
    """Whether a draft tells of a paper that this person may not read by now: it wants composing anew."""
    return any(not is_readable(paper, reader) for paper in restricted_in(report))


def is_restricted_since(paper: Paper, moment: datetime) -> bool:
    """Whether a paper that is restricted today was open to all at a moment. What was restricted then already, and told
    or shared all the same, was so on purpose. Where nobody kept how it stood, it counts as open then."""
    if not is_restricted(paper):
        return False
    before = paper.history.filter(history_date__lte=moment).order_by("-history_date", "-history_id").first()
    return before is None or bool(before.restricted_to == EVERY_ROLE)


def may_go_out(reports: Iterable[Report]) -> list[Report]:
    """Issued reports that tell of no paper restricted since they were issued."""
    return [
        one for one in reports
        if one.issued_at and not any(is_restricted_since(paper, one.issued_at) for paper in restricted_in(one))
    ]  # fmt: skip
