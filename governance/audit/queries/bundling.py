"""What belongs to a bundle of evidence beside its papers: duties, and reports that tell of them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import QuerySet

from governance.audit.bundle.subjects import Subject
from governance.duties.models import Duty
from governance.duties.queries.listing import with_state
from governance.papers.models import Paper
from governance.papers.restriction import is_readable
from governance.reports.models import Report
from governance.reports.queries.listing import Wanted, of_country, reports
from governance.usedesk.queries.material import among


def duties_of(papers: Iterable[int], accessions: Iterable[int], on: date) -> QuerySet[Duty]:
    """Duties of some papers, and those about some accessions, with ``state`` on a day; in order of their days."""
    rows = Duty.objects.filter(among("paper", papers) | among("accession", accessions))
    return with_state(rows.select_related("paper", "promise", "assignee"), on).order_by("due_on", "pk")


def reports_of(subject: Subject, reader: Any) -> tuple[list[Report], int]:
    """Reports that tell of the papers, accessions or country, and how many more are not open to the reader: they are
    about a paper that is not, or tell of one. Two queries, and one for the papers that they tell of."""
    wanted, told = set(subject.papers), {}
    rows = Report.objects.order_by("pk")
    for key, paper, papers in rows.values_list("pk", "paper", "contents__papers"):
        of = {*(papers or ()), *([paper] if paper else [])}
        if of & wanted:
            told[key] = of
    own = set(rows.filter(accession__in=subject.accessions[:500]).values_list("pk", flat=True))
    if subject.kind == "country":
        own |= set(rows.filter(of_country(subject.key)).values_list("pk", flat=True))
    closed = _closed({paper for papers in told.values() for paper in papers}, reader)
    keys = {key for key in told.keys() | own if not told.get(key, set()) & closed}
    shown = list(reports(Wanted(sort="reference"), reader).filter(among("pk", keys)))
    return shown, len(told.keys() | own) - len(shown)


def _closed(papers: set[int], reader: Any) -> set[int]:
    """Those of the papers that a reader may not read."""
    rows = Paper.objects.filter(among("pk", papers)).only("restricted_to")
    return {paper.pk for paper in rows if not is_readable(paper, reader)}
