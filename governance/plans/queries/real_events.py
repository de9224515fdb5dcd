"""What an accession really holds: its events, what was taken at each, and the rulings that stand for it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, Q, Sum

from accessions.material.models import Accession, SamplingEvent, Specimen
from accessions.names.models import WrittenName
from accessions.values import split_list, split_people
from governance.verdicts.shown_days import event_day

_WHOLE = ~Q(kind=Specimen.Kind.PART)
"""A leg or an extract is no further individual."""


@dataclass(frozen=True)
class Taken:
    """Specimens of one event and name. low, high: individuals; high None where no bound is known."""

    name: WrittenName
    specimens: int
    low: int
    high: int | None


@dataclass(frozen=True)
class RealEvent:
    """One event with the specimens of the accession that point at it.

    rulings: how many specimens have which ruling; None for those that were not judged, or judged of another event.
    deliveries: the keys of the deliveries they came in.
    """

    event: SamplingEvent
    taken: tuple[Taken, ...]
    rulings: Mapping[int | None, int]
    deliveries: frozenset[int]

    @property
    def specimens(self) -> int:
        return sum(one.specimens for one in self.taken)

    @property
    def when(self) -> str:
        return event_day(self.event)

    @property
    def methods(self) -> tuple[str, ...]:
        return split_list(self.event.sampling_protocol)

    @property
    def people(self) -> tuple[str, ...]:
        return split_people(self.event.recorded_by)


@dataclass
class _Gathered:
    names: dict[int, list[int | None]] = field(default_factory=dict)
    rulings: Counter[int | None] = field(default_factory=Counter)
    deliveries: set[int] = field(default_factory=set)


def real_events(accession: Accession) -> list[RealEvent]:
    """The events of an accession that have specimens, by their days. Three queries, however many there are."""
    gathered: dict[int, _Gathered] = defaultdict(_Gathered)
    for row in _rows(accession):
        _gather(gathered[row["event_id"]], row)
    names = WrittenName.objects.select_related("taxon").in_bulk({pk for one in gathered.values() for pk in one.names})
    events = SamplingEvent.objects.select_related("site").in_bulk(gathered)
    found = [_event(events[pk], one, names) for pk, one in gathered.items()]
    return sorted(found, key=lambda one: (str(one.event.earliest_on or "9"), one.event.number, one.event.pk))


def _rows(accession: Accession) -> Iterable[dict[str, Any]]:
    """Specimens counted by what tells them apart here."""
    return (
        Specimen.objects.filter(accession=accession)
        .order_by()
        .values("event_id", "name_id", "delivery_id", "standing__ruling_id", "standing__event_id", "standing__name_id")
        .annotate(
            specimens=Count("pk"),
            low=Sum("count_low", filter=_WHOLE),
            high=Sum("count_high", filter=_WHOLE),
            unbounded=Count("pk", filter=_WHOLE & Q(count_high__isnull=True)),
        )
    )


def _gather(one: _Gathered, row: dict[str, Any]) -> None:
    judged = (row["standing__event_id"], row["standing__name_id"]) == (row["event_id"], row["name_id"])
    one.rulings[row["standing__ruling_id"] if judged else None] += row["specimens"]
    if row["delivery_id"] is not None:
        one.deliveries.add(row["delivery_id"])
    before = one.names.setdefault(row["name_id"], [0, 0, 0])
    specimens, low, high = before
    bounded = high is not None and not row["unbounded"]
    one.names[row["name_id"]] = [
        (specimens or 0) + row["specimens"], (low or 0) + (row["low"] or 0),
        (high or 0) + (row["high"] or 0) if bounded else None,
    ]  # fmt: skip


def _event(event: SamplingEvent, one: _Gathered, names: Mapping[int, WrittenName]) -> RealEvent:
    taken = [Taken(names[pk], specimens or 0, low or 0, high) for pk, (specimens, low, high) in one.names.items()]
    return RealEvent(
        event, tuple(sorted(taken, key=lambda row: row.name.shown)), dict(one.rulings), frozenset(one.deliveries)
    )


def rulings_by_delivery(accession: Accession) -> dict[int, dict[int | None, int]]:
    """By delivery how many specimens have which ruling; None for those that were not judged. One query."""
    found: dict[int, Counter[int | None]] = defaultdict(Counter)
    rows = (
        Specimen.objects.filter(accession=accession, delivery__isnull=False)
        .order_by()
        .values_list(
            "delivery_id", "standing__ruling_id", "standing__event_id", "event_id", "standing__name_id", "name_id"
        )
        .annotate(n=Count("pk"))
    )
    for delivery, ruling, judged_event, event, judged_name, name, count in rows:
        found[delivery][ruling if (judged_event, judged_name) == (event, name) else None] += count
    return {delivery: dict(rulings) for delivery, rulings in found.items()}
