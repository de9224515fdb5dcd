"""Specimens that have no verdict yet: entered, and not taken up by an assessment."""

from __future__ import annotations

from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from accessions.material.models import Specimen
from governance.verdicts.models import Standing
from governance.verdicts.queries.filters import Filters, names_below, starts_with


def unchecked(filters: Filters) -> QuerySet[Specimen]:
    """Those that match what is asked of facts, by catalogue number."""
    if filters.nothing:
        return Specimen.objects.none()
    judged = Standing.objects.filter(pk=OuterRef("pk"))
    return Specimen.objects.filter(_facts(filters), ~Exists(judged)).order_by("catalog_number", "pk")


def unchecked_keys(filters: Filters, most: int | None) -> list[int]:
    return list(unchecked(filters).values_list("pk", flat=True)[:most])


def _facts(filters: Filters) -> Q:
    wanted = {
        "accession": filters.accession, "part": filters.part, "event__site": filters.site,
        "event__country": filters.country, "kind": filters.kind, "accession__in": filters.accessions,
        "event__site__in": filters.sites, "pk__in": filters.picked,
        "event__latest_on__gte": filters.year_from and date(filters.year_from, 1, 1),
        "event__earliest_on__lte": filters.year_to and date(filters.year_to, 12, 31),
    }  # fmt: skip
    condition = Q(**{lookup: value for lookup, value in wanted.items() if value})
    if filters.number_starts:
        condition &= starts_with("catalog_number", filters.number_starts)
    if filters.lineages:
        condition &= Q(name__in=names_below(filters.lineages).values("pk"))
    return condition
