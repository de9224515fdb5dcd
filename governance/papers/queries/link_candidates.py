"""Accessions that a paper may have been given for: offered, never linked by themselves."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Count, Max, Min, QuerySet
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import Accession
from governance.papers.models import Paper, PaperLink
from governance.papers.queries.linkable import Choice

_MOST = 12
_BESIDE = timedelta(days=366)
"""What was collected within a year of the paper's days is offered too: that it is outside is for the verdict to say."""


def link_candidates(paper: Paper) -> list[Choice]:
    """For a paper that is linked to nothing: accessions with material of its country that was collected about its days,
    the latest first; of a paper without a country, of any. Three queries, or one."""
    if PaperLink.objects.filter(paper=paper, unlinked_at__isnull=True).exists():
        return []
    rows = _about(paper, Accession.objects.all()).annotate(
        n=Count("specimens"), first=Min("specimens__event__earliest_on"), last=Max("specimens__event__latest_on")
    )
    return [
        Choice(f"accessions:{row.pk}", row.number, _days(row.title, row.first, row.last), row.n, False)
        for row in rows.filter(n__gt=0).order_by("-last", "-pk")[:_MOST]
    ]


def _about(paper: Paper, accessions: QuerySet[Accession]) -> QuerySet[Accession]:
    """Those with material from where and when the paper speaks; both ends open where it names none."""
    country = paper.jurisdiction[:2]
    days = paper.versions.aggregate(first=Min("in_force_from"), last=Max("in_force_to"))
    narrowed = {
        "specimens__event__country": country,
        "specimens__event__latest_on__gte": days["first"] and days["first"] - _BESIDE,
        "specimens__event__earliest_on__lte": days["last"] and days["last"] + _BESIDE,
    }
    return accessions.filter(**{name: value for name, value in narrowed.items() if value})


def _days(title: str, first: date | None, last: date | None) -> str:
    if not first or not last:
        return title
    told = {"first": date_format(first, "j M Y"), "last": date_format(last, "j M Y")}
    days = told["first"] if first == last else _("%(first)s to %(last)s") % told
    return f"{title} {days}".strip()
