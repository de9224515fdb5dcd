"""Reads of the room: the files that came in, and what one of them would make or made."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.shortcuts import get_object_or_404

from accessions.intake.holders import known_accessions
from accessions.intake.kept import DELIVERY_TERMS
from accessions.intake.models import Batch
from accessions.intake.places import Sites
from accessions.intake.plan import Plan, RowState
from accessions.material.events import known_events
from accessions.material.models import Accession, Delivery
from accessions.names.placing import known_names

_NUMBERS_OFFERED = 300


def batches(state: str = "") -> QuerySet[Batch]:
    """Files that came in, newest first, without their bytes."""
    rows = Batch.objects.select_related("received_by", "committed_by", "taken_back_by", "accession").defer("data")
    return rows.filter(state=state) if state else rows


def batch_or_404(pk: int) -> Batch:
    """A file that came in, with its bytes left in the database until they are asked for."""
    return get_object_or_404(batches(), pk=pk)


def state_counts() -> dict[str, int]:
    """How many files there are in each state."""
    found = dict(Batch.objects.order_by().values_list("state").annotate(Count("pk")))
    return {state: found.get(state, 0) for state in Batch.State.values}


def accession_numbers() -> QuerySet[Accession, str]:
    """The newest accession numbers, to choose from while typing."""
    return Accession.objects.order_by("-pk").values_list("number", flat=True)[:_NUMBERS_OFFERED]


@dataclass(frozen=True)
class Forecast:
    """What the new rows of a plan would make. accessions, sites: their numbers and codes; the rest are counts."""

    accessions: tuple[str, ...]
    sites: tuple[str, ...]
    events: int
    names: int
    deliveries: int
    all_accessions: int


def forecast(plan: Plan) -> Forecast:
    """Look up what is not there yet. About one query for each kind of row."""
    rows = plan.rows_in(RowState.NEW)
    numbers = dict.fromkeys(plan.accession_of[row] for row in rows)
    known = known_accessions(numbers)
    events = plan.events.used_by(rows)
    there = known_events(list(events))
    new_events = [written for digest, written in events.items() if digest not in there]
    names = plan.names.used_by(rows)
    return Forecast(
        accessions=tuple(number for number in numbers if number not in known),
        sites=tuple(
            written.get("locationID") or written.get("siteName", "") for written in Sites().missing(new_events).values()
        ),
        events=len(new_events),
        names=len(names) - len(known_names(list(names))),
        deliveries=_new_deliveries(plan, rows),
        all_accessions=len({number for number in plan.accession_of if number}),
    )


def _new_deliveries(plan: Plan, rows: list[int]) -> int:
    columns = [plan.rows.column(term) for term in DELIVERY_TERMS]
    stated = {(plan.accession_of[row], *(column[row] for column in columns)) for row in rows}
    stated = {found for found in stated if any(found[1:])}
    if not stated:
        return 0
    there = Delivery.objects.filter(accession__number__in={found[0] for found in stated}).order_by()
    return len(stated - set(there.values_list("accession__number", "exported_on", "imported_on", "transferred_on")))
