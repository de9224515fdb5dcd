"""What may have been taken under a permit and is not in the register yet, or not linked: a nil return must know it."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from django.db.models import Exists, OuterRef, Q

from accessions.material.models import Accession, Delivery, Part, Specimen
from governance.papers.models import Paper, TitleRecord
from governance.papers.queries import Links, links_of
from governance.reports.composing.scope import Period
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.usedesk.queries.material import among

_HELD: Final = (
    "SELECT accession_id, COUNT(*), SUM(COALESCE(count_high, 0)), SUM(CASE WHEN count_high IS NULL THEN 1 ELSE 0 END) "
    "FROM material_specimen WHERE parent_id IS NULL AND accession_id {keys} GROUP BY accession_id"
)


def accessions_not_registered(paper: Paper, period: Period) -> list[str]:
    """Numbers of the accessions for which a paper speaks of which some material is certainly not registered: there is
    none at all, or less than the whole accession is said to hold. One that came before the period is none of these."""
    links = links_of([paper.pk]).get(paper.pk, Links())
    keys = set(links.accessions)
    keys.update(Part.objects.filter(pk__in=links.parts).values_list("accession", flat=True))
    keys.update(TitleRecord.objects.filter(paper=paper).values_list("accession", flat=True))
    keys -= came_before(keys, period)
    held = {key: (number, None if unbounded else most) for key, number, most, unbounded in rows_by_keys(_HELD, keys)}
    rows = Accession.objects.filter(pk__in=keys).order_by("number").values_list("pk", "number", "total")
    return [number for pk, number, total in rows if _lacks(total, *held.get(pk, (0, 0)))]


def came_before(accessions: Collection[int], period: Period) -> set[int]:
    """Those of some accessions that were here before the period, with every delivery: nothing of them was taken in it,
    whatever its own day."""
    if period.first is None:
        return set()
    later = Q(received_on__isnull=True) | Q(received_on__gte=period.first)
    rows = Accession.objects.filter(among("pk", accessions), received_on__lt=period.first).order_by()
    arriving = Delivery.objects.filter(later, accession=OuterRef("pk"))
    return set(rows.filter(~Exists(arriving)).values_list("pk", flat=True))


def _lacks(total: int | None, specimens: int, most: int | None) -> bool:
    """Whether something is missing. most: individuals at most, None without bound."""
    if not specimens:
        return True
    return total is not None and most is not None and total > max(most, specimens)


def taken_without_papers(country: str, period: Period) -> int:
    """Specimens of a country that may have been taken in a period, and on which no paper bears: ten queries."""
    if not country:
        return 0
    rows = Specimen.objects.filter(parent__isnull=True, event__country=country).order_by()
    if period.last is not None:
        rows = rows.filter(Q(event__earliest_on__isnull=True) | Q(event__earliest_on__lte=period.last))
    if period.first is not None:
        rows = rows.filter(Q(event__latest_on__isnull=True) | Q(event__latest_on__gte=period.first))
    columns = rows.values_list("pk", "accession_id", "part_id", "event_id", "name_id")
    met = [SpecimenRow(pk, accession, -1 if part is None else part, event, name, -1)
           for pk, accession, part, event, name in columns]  # fmt: skip
    before = came_before({row.accession for row in met}, period)
    met = [row for row in met if row.accession not in before]
    return sum(1 for papers in bearing(met).papers if not papers) if met else 0
