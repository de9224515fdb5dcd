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
    """Specimens of one event and name. individuals: at least so many; rulings: as those of the event."""

    name: WrittenName
    specimens: int
    individuals: int
    rulings: Mapping[int | None, int]


@dataclass(frozen=True)
class RealEvent:
    """One act of taking, with the specimens of the accession: statements of one number that differ in place alone.

    rulings: how many specimens have which ruling; None for those that were not judged, or judged of another record.
    deliveries: the keys of the deliveries they came in.
    """

    statements: tuple[SamplingEvent, ...]
    taken: tuple[Taken, ...]
    deliveries: frozenset[int]

    @property
    def rulings(self) -> dict[int | None, int]:
        return together(self.taken)

    @property
    def event(self) -> SamplingEvent:
        """The first of the statements; days, people, methods and site are those of all."""
        return self.statements[0]

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
class _OfName:
    specimens: int = 0
    individuals: int = 0
    rulings: Counter[int | None] = field(default_factory=Counter)


@dataclass
class _Gathered:
    events: set[int] = field(default_factory=set)
    names: dict[int, _OfName] = field(default_factory=lambda: defaultdict(_OfName))
    deliveries: set[int] = field(default_factory=set)


def together(taken: Iterable[Taken]) -> dict[int | None, int]:
    """How many specimens of all have which ruling."""
    found: Counter[int | None] = Counter()
    for one in taken:
        found.update(one.rulings)
    return dict(found)


def real_events(accession: Accession) -> list[RealEvent]:
    """The events of an accession that have specimens, by their days. Three queries, however many there are."""
    rows = list(_rows(accession))
    names = WrittenName.objects.select_related("taxon").in_bulk({row["name_id"] for row in rows})
    events = SamplingEvent.objects.select_related("site").in_bulk({row["event_id"] for row in rows})
    gathered: dict[Any, _Gathered] = defaultdict(_Gathered)
    for row in rows:
        _gather(gathered[_act(events[row["event_id"]])], row)
    found = [_event(one, events, names) for one in gathered.values()]
    return sorted(found, key=lambda one: (str(one.event.earliest_on or "9"), one.event.number, one.event.pk))


def _act(event: SamplingEvent) -> Any:
    """What makes statements one act of taking: a number, and all but the place in common. Without a number: itself."""
    if not event.number:
        return event.pk
    return (
        event.number, event.reading, event.earliest_on, event.latest_on, event.site_id, event.sampling_protocol,
        event.recorded_by, event.longitude_deg is None,
    )  # fmt: skip


def _rows(accession: Accession) -> Iterable[Mapping[str, Any]]:
    """Specimens counted by what tells them apart here."""
    return (
        Specimen.objects.filter(accession=accession)
        .order_by()
        .values("event_id", "name_id", "delivery_id", "standing__ruling_id", "standing__event_id", "standing__name_id")
        .annotate(specimens=Count("pk"), low=Sum("count_low", filter=_WHOLE))
    )


def _gather(one: _Gathered, row: Mapping[str, Any]) -> None:
    judged = (row["standing__event_id"], row["standing__name_id"]) == (row["event_id"], row["name_id"])
    one.events.add(row["event_id"])
    if row["delivery_id"] is not None:
        one.deliveries.add(row["delivery_id"])
    of_name = one.names[row["name_id"]]
    of_name.specimens += row["specimens"]
    of_name.individuals += row["low"] or 0
    of_name.rulings[row["standing__ruling_id"] if judged else None] += row["specimens"]


def _event(one: _Gathered, events: Mapping[int, SamplingEvent], names: Mapping[int, WrittenName]) -> RealEvent:
    taken = [Taken(names[pk], row.specimens, row.individuals, dict(row.rulings)) for pk, row in one.names.items()]
    return RealEvent(
        tuple(events[pk] for pk in sorted(one.events)),
        tuple(sorted(taken, key=lambda row: row.name.shown)),
        frozenset(one.deliveries),
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
