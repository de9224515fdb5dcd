"""Specimens of an accession: by event, by range of numbers, the last one typed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count

from accessions.material.models import Accession, Determination, SamplingEvent, Specimen
from accessions.people.history import CREATED

TYPED: Final = "typed from the label"
"""The reason in the history of specimens that were typed one by one; not translated, since it is looked for."""

MOST_EVENTS: Final = 200
"""Events that a page offers to choose from."""

_NUMBERED: Final = re.compile(r"(?P<head>.*?)(?P<digits>\d{1,18})(?P<tail>\D*)", re.DOTALL)


class NumberRangeError(ValueError):
    """Two catalogue numbers that span no range."""


@dataclass(frozen=True)
class NumberRange:
    """Catalogue numbers from the first to the last: one beginning, one ending, digits that count up between."""

    head: str
    tail: str
    first: int
    last: int

    def holds(self, number: str) -> bool:
        """Whether a catalogue number is in the range."""
        found = _NUMBERED.fullmatch(number)
        return bool(
            found and found["head"] == self.head and found["tail"] == self.tail
            and self.first <= int(found["digits"]) <= self.last
        )  # fmt: skip


def number_range(first: str, last: str) -> NumberRange:
    """The range between two catalogue numbers.

    Raises:
        NumberRangeError: one has no digits, they begin or end differently, or the last is below the first.

    >>> number_range("LMN-1", "LMN-20").last
    20
    """
    ends = [_NUMBERED.fullmatch(text.strip()) for text in (first, last)]
    low, high = ends
    if low is None or high is None:
        raise NumberRangeError("no-digits")
    if (low["head"], low["tail"]) != (high["head"], high["tail"]):
        raise NumberRangeError("differ")
    if int(low["digits"]) > int(high["digits"]):
        raise NumberRangeError("order")
    return NumberRange(low["head"], low["tail"], int(low["digits"]), int(high["digits"]))


def specimens_in_range(accession: Accession, wanted: NumberRange) -> list[int]:
    """Primary keys of the specimens of an accession whose numbers are in the range."""
    rows = accession.specimens.filter(catalog_number__startswith=wanted.head).order_by("catalog_number")
    return [pk for pk, number in rows.values_list("pk", "catalog_number") if wanted.holds(number)]


@dataclass(frozen=True)
class EventGroup:
    """Statements of one act of taking: the same number, date and place, whatever else differs between records."""

    number: str
    when: str
    where: str
    keys: tuple[int, ...]
    specimens: int


def events_of(accession: Accession) -> list[EventGroup]:
    """The events of an accession by day, up to ``MOST_EVENTS``: one query."""
    counted = SamplingEvent.objects.filter(specimens__accession=accession).annotate(specimen_count=Count("specimens"))
    groups: dict[tuple[str, str, str], list[SamplingEvent]] = {}
    for event in counted.order_by("earliest_on", "number", "pk"):
        when = event.event_date or event.verbatim_event_date
        where = event.site_name or event.location_id or event.locality
        groups.setdefault((event.number, when, where), []).append(event)
    return [
        EventGroup(*words, tuple(event.pk for event in events), sum(event.specimen_count for event in events))  # type: ignore[attr-defined]
        for words, events in list(groups.items())[:MOST_EVENTS]
    ]


def specimens_of_events(accession: Accession, events: list[int]) -> list[int]:
    """Primary keys of the specimens of an accession taken at these events."""
    return list(accession.specimens.filter(event__in=events).order_by("pk").values_list("pk", flat=True))


@dataclass(frozen=True)
class SpecimenFacts:
    """A specimen with all that its form shows. sharing: other specimens of the same statement of the event."""

    specimen: Specimen
    determination: Determination | None
    sharing: int

    @property
    def date_identified(self) -> str:
        return self.determination.date_identified if self.determination else ""


def facts_of(pk: int) -> SpecimenFacts | None:
    """A specimen with event, name, accession, part, delivery and parent; None if there is none: three queries."""
    related = ("accession", "event", "name", "part", "delivery__accession", "parent", "part__accession")
    specimen = Specimen.objects.select_related(*related).filter(pk=pk).first()
    if specimen is None:
        return None
    current = specimen.determinations.filter(is_current=True).first()
    return SpecimenFacts(specimen, current, specimen.event.specimens.exclude(pk=pk).count())


OFFERED: Final = {
    "scientificName": "name__shown", "samplingProtocol": "event__sampling_protocol",
    "recordedBy": "event__recorded_by", "sex": "sex", "life_stage": "life_stage", "preparation": "preparation",
}  # fmt: skip
"""Fields of a label for which the words that the accession has already are offered."""

MOST_OFFERED: Final = 100


def words_of(accession: Accession) -> dict[str, list[str]]:
    """The words that an accession uses, by field of a label: one query a field."""
    specimens = accession.specimens.order_by()
    return {
        field: list(
            specimens.exclude(**{path: ""}).order_by(path).values_list(path, flat=True).distinct()[:MOST_OFFERED]
        )
        for field, path in OFFERED.items()
    }


def last_typed(accession: Accession, person: Any) -> Specimen | None:
    """The specimen of an accession that a person typed last: what the next label copies from."""
    entered = Specimen.history.filter(
        accession_id=accession.pk, history_user=person, history_type=CREATED, history_change_reason=TYPED
    )
    newest = entered.order_by("-history_date", "-history_id").values_list("id", flat=True).first()
    return Specimen.objects.select_related("event", "name", "part", "delivery").filter(pk=newest).first()
