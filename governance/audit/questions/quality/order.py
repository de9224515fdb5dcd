"""Days in an order that cannot be: received before collected, gone before collected, determined before collected."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import F, Min
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Accession, Delivery, Determination, SamplingEvent, Specimen
from accessions.material.oddities import last_day_of
from governance.audit.asking import Cell, Column, ColumnKind
from governance.audit.queries.quality import kept_while_unchanged
from governance.audit.questions.addresses import accession_link, delivery_link, specimen_link
from governance.audit.questions.quality.found import Fact, Found, FoundList
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import (
    EVENT_COLUMNS,
    ONE_OF_THEM,
    SPECIMENS,
    TRADE,
    accessions_of,
    deliveries_of,
    event_name,
    events_of,
    one_of,
    specimens_of,
    written_date,
)
from governance.usedesk.queries.by_keys import day_of_row
from governance.verdicts.feed.rows import select

_RECEIVED: Final = """
SELECT g.accession_id, g.delivery_id, g.event_id, g.n, g.one, e.earliest_on, COALESCE(d.received_on, a.received_on)
FROM (SELECT accession_id, delivery_id, event_id, COUNT(*) AS n, MIN(id) AS one FROM material_specimen
      GROUP BY accession_id, delivery_id, event_id) g
JOIN material_samplingevent e ON e.id = g.event_id
JOIN material_accession a ON a.id = g.accession_id
LEFT JOIN material_delivery d ON d.id = g.delivery_id
WHERE e.earliest_on > COALESCE(d.received_on, a.received_on)
ORDER BY g.accession_id, g.event_id, g.delivery_id
"""


def _received(_on: date) -> Found:
    """One walk over the specimens: what came in together is one row."""
    of = (Specimen, SamplingEvent, Accession, Delivery)
    rows = kept_while_unchanged("received", of, lambda: list(select(_RECEIVED)))
    return FoundList([(f"{a}-{d or 0}-{e}", a, d, e, *rest) for a, d, e, *rest in rows])


def _received_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    accessions, events = accessions_of({fact[1] for fact in facts}), events_of({fact[3] for fact in facts})
    deliveries = deliveries_of({fact[2] for fact in facts if fact[2]})
    ones = specimens_of([fact[5] for fact in facts])
    return [
        (accession_link(accessions[accession]), _delivery(deliveries.get(delivery)), event_name(events[event]),
         written_date(events[event]), first, received, (first - received).days, n, one_of(ones, one))
        for _key, accession, delivery, event, n, one, *days in facts
        for first, received in [map(day_of_row, days)] if first and received
    ]  # fmt: skip


def _delivery(delivery: Any) -> Cell:
    if delivery is None:
        return ""
    return delivery_link(delivery) if delivery.entry_number else str(delivery)


RECEIVED: Final = Rule(
    "quality-received-before-collected", "taken", gettext_lazy("What was received before it was collected?"),
    gettext_lazy("Specimens whose first collecting day is after the day on which their delivery, or else their "
                 "accession, was received."),
    (Column("accession", gettext_lazy("Accession"), ColumnKind.CODE), Column("delivery", gettext_lazy("Delivery")),
     *EVENT_COLUMNS, Column("first", gettext_lazy("Collected"), ColumnKind.DAY),
     Column("received", gettext_lazy("Received"), ColumnKind.DAY),
     Column("days", gettext_lazy("Days too early"), ColumnKind.NUMBER), SPECIMENS, ONE_OF_THEM),
    _received, _received_cells,
    lambda n: ngettext("%(n)s group of specimens was received before it was collected.",
                       "%(n)s groups of specimens were received before they were collected.", n) % {"n": intcomma(n)},
    TRADE, (gettext_lazy("One row for each sampling event of an accession and delivery. A vague date counts by the "
                         "first day that it may mean."),),
)  # fmt: skip


def _accessioned(_on: date) -> Found:
    """The register refuses it for the accession's own day of receipt; deliveries have days of their own."""
    first = Accession.objects.annotate(first=Min("deliveries__received_on")).filter(accessioned_on__lt=F("first"))
    return FoundList(list(first.order_by("number").values_list("pk", "accessioned_on", "first")))


def _accessioned_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    accessions = accessions_of({fact[0] for fact in facts})
    return [
        (accession_link(accessions[key]), first, accessioned, (first - accessioned).days)
        for key, accessioned, first in facts
    ]  # fmt: skip


ACCESSIONED: Final = Rule(
    "quality-accessioned-before-received", "accession", gettext_lazy("What was accessioned before it was received?"),
    gettext_lazy("Accessions whose number was given before the first of their deliveries came."),
    (Column("accession", gettext_lazy("Accession"), ColumnKind.CODE),
     Column("received", gettext_lazy("First delivery received"), ColumnKind.DAY),
     Column("accessioned", gettext_lazy("Accessioned"), ColumnKind.DAY),
     Column("days", gettext_lazy("Days too early"), ColumnKind.NUMBER)),
    _accessioned, _accessioned_cells,
    lambda n: ngettext("%(n)s accession had its number before anything was received.",
                       "%(n)s accessions had their numbers before anything was received.", n) % {"n": intcomma(n)},
    TRADE, (gettext_lazy("A day of accession before the accession's own day of receipt is refused where it is "
                         "entered."),),
)  # fmt: skip

_LEFT: Final = """
SELECT s.delivery_id, s.event_id, COUNT(*), MIN(s.id), d.exported_on, e.earliest_on
FROM material_delivery d
JOIN material_specimen s ON s.delivery_id = d.id
JOIN material_samplingevent e ON e.id = s.event_id
WHERE d.exported_on <> '' AND e.earliest_on IS NOT NULL
  AND SUBSTR(d.exported_on, 1, 10) < CAST(e.earliest_on AS TEXT)
GROUP BY s.delivery_id, s.event_id, d.exported_on, e.earliest_on
ORDER BY s.delivery_id, s.event_id
"""
"""A date as written, YYYY-MM-DD or the beginning of it, sorts before the day if its last day is earlier; those whose
last day is not are left out below, where the written date is read."""

_last_day: Final = lru_cache(maxsize=100_000)(last_day_of)


def _left(_on: date) -> Found:
    of = (Specimen, SamplingEvent, Delivery)
    rows = kept_while_unchanged("left", of, lambda: [row for row in select(_LEFT) if _is_before(row[4], row[5])])
    return FoundList([(f"{d}-{e}", d, e, *rest) for d, e, *rest in rows])


def _is_before(written: str, collected: Any) -> bool:
    """Whether the last day that a written date may mean is before the first day of collecting."""
    last, first = _last_day(written), day_of_row(collected)
    return last is not None and first is not None and last < first


def _left_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    deliveries, events = deliveries_of({fact[1] for fact in facts}), events_of({fact[2] for fact in facts})
    ones = specimens_of([fact[4] for fact in facts])
    return [
        (_delivery(deliveries[delivery]), event_name(events[event]), written_date(events[event]),
         events[event].earliest_on, exported, n, one_of(ones, one))
        for _key, delivery, event, n, one, exported, _first in facts
    ]  # fmt: skip


LEFT: Final = Rule(
    "quality-left-before-collected", "left", gettext_lazy("What left its country before it was collected?"),
    gettext_lazy("Specimens of deliveries whose day of export is before their first collecting day."),
    (Column("delivery", gettext_lazy("Delivery")), *EVENT_COLUMNS,
     Column("first", gettext_lazy("Collected"), ColumnKind.DAY), Column("exported", gettext_lazy("Left on")),
     SPECIMENS, ONE_OF_THEM),
    _left, _left_cells,
    lambda n: ngettext("%(n)s group of specimens left its country before it was collected.",
                       "%(n)s groups of specimens left their country before they were collected.", n)
    % {"n": intcomma(n)},
    TRADE,
)  # fmt: skip

_DETERMINED: Final = """
SELECT d.id, d.specimen_id, d.date_identified, e.earliest_on
FROM material_determination d
JOIN material_specimen s ON s.id = d.specimen_id
JOIN material_samplingevent e ON e.id = s.event_id
WHERE d.date_identified <> '' AND e.earliest_on IS NOT NULL
  AND SUBSTR(d.date_identified, 1, 10) < CAST(e.earliest_on AS TEXT)
"""


def _determined(_on: date) -> Found:
    of = (Specimen, SamplingEvent, Determination)
    return FoundList(kept_while_unchanged(
        "determined", of, lambda: sorted(row for row in select(_DETERMINED) if _is_before(row[2], row[3]))
    ))  # fmt: skip


def _determined_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    rows = Determination.objects.select_related("specimen__event", "name").in_bulk([fact[0] for fact in facts])
    return [_determination(rows[fact[0]]) for fact in facts]


def _determination(row: Determination) -> Cells:
    event, last = row.specimen.event, last_day_of(row.date_identified)
    days = (event.earliest_on - last).days if event.earliest_on and last else None
    current = _("yes") if row.is_current else _("no")
    return (
        specimen_link(row.specimen), row.name.shown, row.identified_by, row.date_identified, event.earliest_on, days,
        current,
    )  # fmt: skip


DETERMINED: Final = Rule(
    "quality-determined-before-collected", "determination",
    gettext_lazy("What was determined before it was collected?"),
    gettext_lazy("Determinations, also earlier ones, that are dated before the first collecting day."),
    (Column("specimen", gettext_lazy("Specimen"), ColumnKind.CODE),
     Column("name", gettext_lazy("Determined as"), ColumnKind.TAXON), Column("by", gettext_lazy("Determined by")),
     Column("on", gettext_lazy("Determined on")), Column("first", gettext_lazy("Collected"), ColumnKind.DAY),
     Column("days", gettext_lazy("Days too early"), ColumnKind.NUMBER), Column("current", gettext_lazy("Current"))),
    _determined, _determined_cells,
    lambda n: ngettext("%(n)s determination is dated before the specimen was collected.",
                       "%(n)s determinations are dated before the specimen was collected.", n) % {"n": intcomma(n)},
    TRADE, (gettext_lazy("A date that is known to the year or month counts by its last day."),),
)  # fmt: skip

RULES: Final = (RECEIVED, ACCESSIONED, LEFT, DETERMINED)
