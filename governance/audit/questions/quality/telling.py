"""What rows of data quality say of records: read once for each slice of rows."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from django.db.models import Count, Min
from django.utils.translation import gettext_lazy

from accessions.material.models import Accession, Delivery, SamplingEvent, Specimen
from governance.audit.asking import Cell, Column, ColumnKind
from governance.audit.questions.addresses import specimen_link

EVENT_COLUMNS: Final = (
    Column("event", gettext_lazy("Sampling event"), ColumnKind.CODE), Column("date", gettext_lazy("Date as written")),
)  # fmt: skip
SPECIMENS: Final = Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER)
ONE_OF_THEM: Final = Column("one", gettext_lazy("One of them"), ColumnKind.CODE)
TAIL: Final = (SPECIMENS, ONE_OF_THEM)

EASE: Final = gettext_lazy("Common practice, no source.")
TRADE: Final = gettext_lazy("The order of a collection's days: collected, received, accessioned (common practice).")


def events_of(keys: Collection[int]) -> dict[int, SamplingEvent]:
    """Events with their sites: one query."""
    found: dict[int, SamplingEvent] = SamplingEvent.objects.select_related("site").in_bulk(keys)
    return found


def accessions_of(keys: Collection[int]) -> dict[int, Accession]:
    return dict(Accession.objects.in_bulk(keys))


def deliveries_of(keys: Collection[int]) -> dict[int, Delivery]:
    return dict(Delivery.objects.select_related("accession").in_bulk(keys))


def specimens_of(keys: Collection[int]) -> dict[int, Specimen]:
    return dict(Specimen.objects.only("catalog_number").in_bulk(keys))


def written_date(event: SamplingEvent) -> str:
    """The date as its record states it."""
    parts = "-".join(part for part in (event.year, event.month, event.day) if part)
    return event.event_date or parts or event.verbatim_event_date


def event_name(event: SamplingEvent) -> str:
    return event.number or f"#{event.pk}"


@dataclass(frozen=True)
class ShownEvent:
    """An event with how many specimens it has, and one of them."""

    event: SamplingEvent
    count: int
    one: Cell

    @property
    def head(self) -> tuple[str, str]:
        """The cells of ``EVENT_COLUMNS``."""
        return event_name(self.event), written_date(self.event)

    @property
    def tail(self) -> tuple[int, Cell]:
        """The cells of ``TAIL``."""
        return self.count, self.one


def shown_events(keys: Collection[int]) -> dict[int, ShownEvent]:
    """Events by key: three queries, the specimens by the index of events."""
    events = events_of(keys)
    rows = Specimen.objects.filter(event__in=events).order_by().values_list("event")
    counts = {event: (count, one) for event, count, one in rows.annotate(Count("pk"), Min("pk"))}
    ones = specimens_of([one for _count, one in counts.values()])
    return {
        key: ShownEvent(event, count, one_of(ones, one))
        for key, event in events.items()
        for count, one in [counts.get(key, (0, None))]
    }


def one_of(specimens: dict[int, Specimen], key: int | None) -> Cell:
    specimen = specimens.get(key) if key is not None else None
    return specimen_link(specimen) if specimen is not None else None
