"""Specimens without a date, a place or a name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent, Specimen
from accessions.names.models import WrittenName
from governance.audit.asking import Column, ColumnKind
from governance.audit.questions.addresses import accession_link, specimen_link
from governance.audit.questions.quality.found import Fact, Found, FoundQuery
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import EASE, EVENT_COLUMNS, TAIL, shown_events, written_date

_PLACELESS: Final = Q(
    longitude_deg__isnull=True, footprint_wkt="", site__isnull=True, location_id="", site_name="", locality="",
)  # fmt: skip


def _events(condition: Q) -> Callable[[date], Found]:
    def found(_on: date) -> Found:
        rows: QuerySet[SamplingEvent] = SamplingEvent.objects.filter(condition)
        return FoundQuery(rows.order_by("pk"))

    return found


def _event_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    events = shown_events([key for (key,) in facts])
    return [
        (*shown.head, shown.event.country, shown.event.recorded_by, *shown.tail)
        for (key,) in facts for shown in [events[key]]
    ]  # fmt: skip


_COLUMNS: Final = (
    *EVENT_COLUMNS, Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("people", gettext_lazy("People")), *TAIL,
)  # fmt: skip

DATE: Final = Rule(
    "quality-without-date", "event", gettext_lazy("Which sampling events have no date?"),
    gettext_lazy("Events whose record states neither a date nor a year."), _COLUMNS,
    _events(Q(reading=SamplingEvent.Reading.MISSING)), _event_cells,
    lambda n: ngettext("%(n)s sampling event has no date.", "%(n)s sampling events have no date.", n)
    % {"n": intcomma(n)},
    EASE, (gettext_lazy("Without a date no paper can cover what was taken; old collections may never tell it."),),
)  # fmt: skip

PLACE: Final = Rule(
    "quality-without-place", "event", gettext_lazy("Which sampling events have no place?"),
    gettext_lazy("Events without coordinates, footprint, site and locality: at most a country is known."), _COLUMNS,
    _events(_PLACELESS), _event_cells,
    lambda n: ngettext("%(n)s sampling event has no place.", "%(n)s sampling events have no place.", n)
    % {"n": intcomma(n)},
    EASE,
)  # fmt: skip


def _unnamed(_on: date) -> Found:
    """By the index of names: the blank ones are few."""
    blank = WrittenName.objects.filter(shown="").values("pk")
    return FoundQuery(Specimen.objects.filter(name__in=blank).order_by("pk"))


def _unnamed_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    rows = Specimen.objects.select_related("accession", "event", "name").in_bulk([key for (key,) in facts])
    return [
        (specimen_link(row), accession_link(row.accession), str(row.get_kind_display()),
         row.name.verbatim_identification, written_date(row.event))
        for (key,) in facts
        for row in [rows[key]]
    ]  # fmt: skip


NAME: Final = Rule(
    "quality-without-name", "specimen", gettext_lazy("Which specimens have no name?"),
    gettext_lazy("Specimens, lots and parts on which no name can be read, not even a kingdom."),
    (Column("specimen", gettext_lazy("Specimen"), ColumnKind.CODE),
     Column("accession", gettext_lazy("Accession"), ColumnKind.CODE), Column("kind", gettext_lazy("Kind")),
     Column("written", gettext_lazy("Name on the label")), Column("date", gettext_lazy("Date as written"))),
    _unnamed, _unnamed_cells,
    lambda n: ngettext("%(n)s specimen has no name.", "%(n)s specimens have no name.", n) % {"n": intcomma(n)},
    EASE,
)  # fmt: skip

RULES: Final = (DATE, PLACE, NAME)
