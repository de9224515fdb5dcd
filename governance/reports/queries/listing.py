"""Reports for the list: what they are about, how they stand."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, Final

from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet, Subquery
from django.utils.translation import gettext_lazy as _

from accessions.people.access import rows_open_to
from governance.reports.models import Report, ReportSending


class State(StrEnum):
    """How far a report is, derived from its rows."""

    DRAFT = "draft"
    ISSUED = "issued"
    SENT = "sent"
    WITHDRAWN = "withdrawn"


STATE_WORDS: Final = {
    State.DRAFT: _("Draft"), State.ISSUED: _("Issued, not sent"), State.SENT: _("Sent"),
    State.WITHDRAWN: _("Withdrawn"),
}  # fmt: skip

SORTS: Final = {
    "reference": "reference", "kind": "kind", "period": "period_to", "issued": "issued_at", "sent": "last_sent_on",
    "composed": "composed_at",
}  # fmt: skip
"""Columns by which the list is ordered, each both ways."""

_STANDING: Final = ReportSending.objects.filter(report=OuterRef("pk"), voided_at__isnull=True)


@dataclass(frozen=True)
class Wanted:
    """What the list is narrowed to; blank is all. year: in which the period ends."""

    q: str = ""
    kind: str = ""
    state: str = ""
    country: str = ""
    year: str = ""
    sort: str = ""


def visible(reader: Any) -> QuerySet[Report]:
    """The reports that a person may see: of no paper, or of papers that are open to them."""
    open_ones = rows_open_to(Report.objects.filter(paper__isnull=False), reader, "paper__restricted_to")
    if not getattr(reader, "is_authenticated", False) or not reader.is_active:
        return Report.objects.none()
    return Report.objects.filter(Q(paper__isnull=True) | Q(pk__in=open_ones.values("pk")))


def reports(wanted: Wanted, reader: Any) -> QuerySet[Report]:
    """Reports with ``last_sent_on`` and ``corrected``, without their contents: one query."""
    newest = _STANDING.order_by().values("report").annotate(n=Max("sent_on")).values("n")
    later = Report.objects.filter(corrects=OuterRef("pk"), issued_at__isnull=False)
    rows = visible(reader).defer("contents", "texts", "changed").select_related("paper", "agent", "accession", "duty")
    rows = rows.annotate(last_sent_on=Subquery(newest), corrected=Exists(later))
    return _ordered(_narrowed(rows, wanted), wanted.sort)


def _narrowed(rows: QuerySet[Report], wanted: Wanted) -> QuerySet[Report]:
    for word in wanted.q.split():
        own = Q(reference__icontains=word) | Q(title__icontains=word) | Q(addressee__icontains=word)
        about = Q(paper__reference__icontains=word) | Q(agent__name__icontains=word)
        rows = rows.filter(own | about | Q(accession__number__icontains=word))
    if wanted.kind:
        rows = rows.filter(kind=wanted.kind)
    if wanted.country:
        rows = rows.filter(of_country(wanted.country))
    if wanted.year:
        rows = rows.filter(period_to__year=int(wanted.year))
    return rows.filter(in_state(wanted.state)) if wanted.state else rows


def of_country(code: str) -> Q:
    """Reports about a country, or about a paper of it."""
    own = Q(paper__jurisdiction=code) | Q(paper__jurisdiction__startswith=f"{code}-")
    return Q(country=code) | (Q(country="") & own)


def in_state(state: str) -> Q:
    """The reports that stand so."""
    stands = Q(issued_at__isnull=False, withdrawn_at__isnull=True)
    return {
        State.DRAFT: Q(issued_at__isnull=True),
        State.ISSUED: stands & ~Q(Exists(_STANDING)),
        State.SENT: stands & Q(Exists(_STANDING)),
        State.WITHDRAWN: Q(withdrawn_at__isnull=False),
    }[State(state)]


def _ordered(rows: QuerySet[Report], sort: str) -> QuerySet[Report]:
    """Unless asked otherwise: drafts first, then what was issued last."""
    if column := SORTS.get(sort.removeprefix("-")):
        by = F(column).desc(nulls_last=True) if sort.startswith("-") else F(column).asc(nulls_last=True)
        return rows.order_by(by, "-pk")
    return rows.order_by(F("issued_at").desc(nulls_first=True), "-pk")


def state_of(report: Any) -> State:
    """How a report of ``reports`` stands."""
    if report.withdrawn_at is not None:
        return State.WITHDRAWN
    if report.issued_at is None:
        return State.DRAFT
    return State.SENT if report.last_sent_on is not None else State.ISSUED


def counts(reader: Any) -> Mapping[str, int]:
    """How many reports there are, by how they stand: one query."""
    rows = visible(reader).annotate(is_sent=Exists(_STANDING))
    stands = Q(issued_at__isnull=False, withdrawn_at__isnull=True)
    found: Mapping[str, int] = rows.aggregate(
        all=Count("pk"), drafts=Count("pk", filter=Q(issued_at__isnull=True)),
        unsent=Count("pk", filter=stands & Q(is_sent=False)), sent=Count("pk", filter=stands & Q(is_sent=True)),
    )  # fmt: skip
    return found


def countries_told() -> list[str]:
    """The countries that some report is about."""
    own = Report.objects.exclude(country="").order_by().values_list("country", flat=True).distinct()
    of_papers = Report.objects.exclude(paper__isnull=True).order_by().values_list("paper__jurisdiction", flat=True)
    return sorted({code[:2] for code in [*own, *of_papers.distinct()] if code})


def years_told() -> list[int]:
    """The years in which periods end, newest first."""
    days = Report.objects.order_by().exclude(period_to=None).values_list("period_to", flat=True).distinct()
    return sorted({day.year for day in days if day}, reverse=True)


def next_reference(today: date) -> str:
    """The number after the highest of this year's, of those that are numbered ``RP-YYYY-NNN``."""
    pattern = re.compile(rf"RP-{today.year}-(\d{{1,6}})")
    known = Report.objects.filter(reference__startswith=f"RP-{today.year}-").values_list("reference", flat=True)
    number = max([int(match[1]) for text in known if (match := pattern.fullmatch(text))], default=0) + 1
    return f"RP-{today.year}-{number:03}"
