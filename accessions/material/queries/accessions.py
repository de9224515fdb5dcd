"""Accessions for lists and pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Exists, F, Max, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce, ExtractYear
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Delivery, Part, Specimen
from accessions.material.queries.arrivals import UNRELEASED
from accessions.people.changes import Change, changes_of, newest_first

SORTS = {
    "number": "number",
    "title": "title",
    "kind": "kind",
    "received": "received_on",
    "specimens": "specimen_count",
}
"""Columns by which the list is ordered, each both ways."""

STANDING_VERDICT = "standing__worst"
"""The one name of the judgements that this room knows: the column that the list is narrowed by, looked up through the
relation that the verdicts room adds to specimens. Without that room the list is never asked for it."""


@dataclass(frozen=True)
class AccessionFilter:
    """What the list is narrowed to; blank is all. verdict: number of the verdict that a specimen has at worst."""

    q: str = ""
    kind: str = ""
    year: str = ""
    verdict: str = ""
    quarantine: bool = False
    sort: str = "-received"


def accessions(narrowed: AccessionFilter) -> QuerySet[Accession]:
    """Accessions with ``specimen_count`` and ``waits`` (a delivery is not released from quarantine): one query."""
    counted = Specimen.objects.filter(accession=OuterRef("pk")).order_by().values("accession").annotate(n=Count("pk"))
    rows: QuerySet[Accession] = Accession.objects.select_related("source").annotate(
        specimen_count=Coalesce(Subquery(counted.values("n")), 0),
        waits=Exists(_unreleased().filter(accession=OuterRef("pk"))),
    )
    return _ordered(_narrowed(rows, narrowed), narrowed.sort)


def _narrowed(rows: QuerySet[Accession], narrowed: AccessionFilter) -> QuerySet[Accession]:
    if narrowed.q:
        rows = rows.filter(
            Q(number__icontains=narrowed.q) | Q(title__icontains=narrowed.q) | Q(source__name__icontains=narrowed.q)
        )
    if narrowed.kind:
        rows = rows.filter(kind=narrowed.kind)
    if narrowed.year:
        rows = rows.filter(received_on__year=int(narrowed.year))
    if narrowed.quarantine:
        rows = rows.filter(Exists(_unreleased().filter(accession=OuterRef("pk"))))
    if narrowed.verdict:
        found = Specimen.objects.filter(accession=OuterRef("pk"), **{STANDING_VERDICT: int(narrowed.verdict)})
        rows = rows.filter(Exists(found))
    return rows


def _ordered(rows: QuerySet[Accession], sort: str) -> QuerySet[Accession]:
    column = F(SORTS.get(sort.removeprefix("-"), SORTS["received"]))
    order = column.desc(nulls_last=True) if sort.startswith("-") else column.asc(nulls_last=True)
    return rows.order_by(order, "number")


def _unreleased() -> QuerySet[Delivery]:
    return Delivery.objects.filter(UNRELEASED)


def years_received() -> list[int]:
    """The years in which accessions were received, newest first."""
    years = Accession.objects.exclude(received_on=None).annotate(year=ExtractYear("received_on"))
    return list(years.order_by("-year").values_list("year", flat=True).distinct())


@dataclass(frozen=True)
class PartSummary:
    """A part with what is in it; ``part`` None for the specimens of no part."""

    part: Part | None
    specimens: int
    first_on: date | None
    last_on: date | None


@dataclass(frozen=True)
class AccessionSummary:
    """What the page of an accession tells of its material."""

    parts: list[PartSummary]
    deliveries: list[Delivery]
    specimens: int
    collectors: list[str]

    @property
    def unreleased(self) -> list[Delivery]:
        """Deliveries that nobody has let go to the collection."""
        return [delivery for delivery in self.deliveries if delivery.is_unreleased]


MOST_COLLECTORS = 6


def summary_of(accession: Accession) -> AccessionSummary:
    """Parts, deliveries and counts of an accession: four queries."""
    counted: dict[int | None, Any] = {
        row["part"]: row
        for row in accession.specimens.order_by()
        .values("part")
        .annotate(n=Count("pk"), first_on=Min("event__earliest_on"), last_on=Max("event__latest_on"))
    }
    parts: list[Part | None] = [*accession.parts.all(), *([None] if None in counted else [])]
    return AccessionSummary(
        parts=[_part_summary(part, counted.get(part.pk if part else None, {})) for part in parts],
        deliveries=list(accession.deliveries.annotate(specimen_count=Count("specimens"))),
        specimens=sum(row["n"] for row in counted.values()),
        collectors=_collectors(accession),
    )


def _part_summary(part: Part | None, row: Mapping[str, Any]) -> PartSummary:
    return PartSummary(part, row.get("n", 0), row.get("first_on"), row.get("last_on"))


def _collectors(accession: Accession) -> list[str]:
    written = accession.specimens.order_by().values_list("event__recorded_by", flat=True).distinct()[:50]
    names = sorted({name.strip() for text in written for name in text.split("|") if name.strip()})
    return names[:MOST_COLLECTORS] + (["…"] if len(names) > MOST_COLLECTORS else [])


def changes_of_accession(accession: Accession) -> list[Change]:
    """The history of an accession, its parts and deliveries; specimens have theirs on their own pages."""
    return newest_first(
        changes_of(Accession, id=accession.pk),
        changes_of(Part, _("part"), accession_id=accession.pk),
        changes_of(Delivery, accession_id=accession.pk),
    )


def next_delivery_number(accession: Accession) -> int:
    """The number after the highest."""
    highest = accession.deliveries.aggregate(highest=Max("number"))["highest"] or 0
    return int(highest) + 1
