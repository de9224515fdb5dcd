"""How long it took from the arrival of a box to its accession number, and which box has waited longest for one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Exists, OuterRef
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Accession, Delivery
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import link
from governance.audit.resolving import year_of


@dataclass(frozen=True)
class _Box:
    """What came in, and when. number: of the accession, "" while it has none on the day that is asked about."""

    key: str
    name: Cell
    received_on: date | None
    number: Cell
    accessioned_on: date | None
    is_waiting: bool
    contents: str

    def days(self, on: date) -> int | None:
        """Up to the accession, or up to the day that is asked about; what came after its accession had a number waited
        for nothing."""
        end = on if self.is_waiting else self.accessioned_on
        return None if self.received_on is None or end is None else max(0, (end - self.received_on).days)


def _answer(asked: Asked) -> Answer:
    boxes = [box for box in _boxes(asked.on) if box.received_on is None or box.received_on <= asked.on]
    if asked["year"]:
        year = year_of(asked)
        boxes = [box for box in boxes if box.received_on and box.received_on.year == year]
    by_year = asked["by"] == "year"
    return Answer(
        " ".join(_sentences(boxes, asked.on)), _YEAR_COLUMNS if by_year else _COLUMNS,
        ListedRows(_years(boxes, asked.on) if by_year else _rows(boxes, asked.on)), missing=tuple(_missing(boxes)),
        total=sum(box.is_waiting for box in boxes),
        notes=(_("Days are counted from the receipt of a delivery (of the accession, where no delivery is recorded) to "
                 "the day of accession. A delivery that came when its accession had a number already counts as 0."),),
    )  # fmt: skip


def _boxes(on: date) -> Iterator[_Box]:
    for one in Delivery.objects.select_related("accession").order_by("received_on", "pk"):
        if one.accession is None:
            yield _Box(f"delivery:{one.pk}", _delivery(one), one.received_on, "", None, True, one.contents)
        else:
            received = one.received_on or one.accession.received_on
            yield _accessioned(f"delivery:{one.pk}", _delivery(one), received, one.accession, on, one.contents)
    alone = Accession.objects.filter(~Exists(Delivery.objects.filter(accession=OuterRef("pk"))))
    for accession in alone.order_by("received_on", "pk"):
        if accession.received_on or accession.accessioned_on:
            key, name = f"accession:{accession.pk}", _("no delivery recorded")
            yield _accessioned(key, name, accession.received_on, accession, on, accession.title)


def _accessioned(key: str, name: Cell, received: date | None, accession: Accession, on: date, contents: str) -> _Box:
    later = accession.accessioned_on is not None and accession.accessioned_on > on
    number = "" if later else link("accession", accession.pk, accession.number)
    return _Box(key, name, received, number, None if later else accession.accessioned_on, later, contents)


def _delivery(one: Delivery) -> Cell:
    name = one.entry_number or _("%(accession)s, delivery %(n)d") % {
        "accession": one.accession.number if one.accession else "", "n": one.number
    }  # fmt: skip
    return link("delivery", one.pk, name) if one.entry_number else name


_COLUMNS: Final = (
    Column("box", gettext_lazy("Delivery")), Column("contents", gettext_lazy("Contents")),
    Column("received", gettext_lazy("Received"), ColumnKind.DAY),
    Column("accession", gettext_lazy("Accession"), ColumnKind.CODE),
    Column("accessioned", gettext_lazy("Accessioned"), ColumnKind.DAY),
    Column("days", gettext_lazy("Waited"), ColumnKind.NUMBER, "days"),
    Column("state", gettext_lazy("State")),
)  # fmt: skip

_YEAR_COLUMNS: Final = (
    Column("year", gettext_lazy("Received in"), ColumnKind.CODE),
    Column("deliveries", gettext_lazy("Deliveries"), ColumnKind.NUMBER),
    Column("median", gettext_lazy("Half within"), ColumnKind.NUMBER, "days"),
    Column("longest", gettext_lazy("Longest"), ColumnKind.NUMBER, "days"),
    Column("waiting", gettext_lazy("Without a number"), ColumnKind.NUMBER),
)  # fmt: skip


def _rows(boxes: Sequence[_Box], on: date) -> list[Row]:
    """Those that wait first, the longest wait first."""
    ordered = sorted(boxes, key=lambda box: (not box.is_waiting, -(box.days(on) or 0), box.key))
    return [Row(box.key, (box.name, box.contents, box.received_on, box.number, box.accessioned_on, box.days(on),
                          _state(box))) for box in ordered]  # fmt: skip


def _state(box: _Box) -> str:
    if box.is_waiting:
        return _("without a number") if box.received_on else _("without a number; day of receipt not recorded")
    if box.received_on is None:
        return _("day of receipt not recorded")
    return "" if box.accessioned_on else _("day of accession not recorded")


def _years(boxes: Sequence[_Box], on: date) -> list[Row]:
    of_year: dict[int, list[_Box]] = defaultdict(list)
    for box in boxes:
        if box.received_on:
            of_year[box.received_on.year].append(box)
    return [_year(year, of_year[year], on) for year in sorted(of_year, reverse=True)]


def _year(year: int, boxes: Sequence[_Box], on: date) -> Row:
    days = _days(boxes, on)
    waiting = sum(box.is_waiting for box in boxes)
    half = round(median(days)) if days else None
    return Row(f"year:{year}", (str(year), len(boxes), half, max(days, default=None), waiting))


def _days(boxes: Sequence[_Box], on: date) -> list[int]:
    """How long each waited that has its number."""
    return [days for box in boxes if not box.is_waiting and (days := box.days(on)) is not None]


def _sentences(boxes: Sequence[_Box], on: date) -> Iterator[str]:
    days = _days(boxes, on)
    if days:
        words = ngettext("%(n)s delivery had its accession number after %(half)s days.",
                         "Half of %(n)s deliveries had their accession number within %(half)s days; the longest took "
                         "%(most)s.", len(days))  # fmt: skip
        yield words % {"n": intcomma(len(days)), "half": intcomma(round(median(days))), "most": intcomma(max(days))}
    else:
        yield _("Of no delivery are both days known.")
    waiting = sorted((box for box in boxes if box.is_waiting and box.received_on), key=lambda box: box.days(on) or 0)
    if waiting:
        oldest = waiting[-1]
        words = ngettext("%(n)s waits without a number: %(box)s, for %(days)s days, since %(day)s.",
                         "%(n)s wait without a number; the oldest is %(box)s, for %(days)s days, since %(day)s.",
                         len(waiting))  # fmt: skip
        day = date_format(oldest.received_on, "j F Y") if oldest.received_on else ""
        yield words % {"n": intcomma(len(waiting)), "box": getattr(oldest.name, "value", oldest.name),
                       "days": intcomma(oldest.days(on) or 0), "day": day}  # fmt: skip
    elif not any(box.is_waiting for box in boxes):
        yield _("No box waits without an accession number.")


def _missing(boxes: Sequence[_Box]) -> Iterator[Missing]:
    if unreceived := sum(box.received_on is None for box in boxes):
        words = ngettext("The day of receipt of %(n)s delivery.", "The day of receipt of %(n)s deliveries.", unreceived)
        yield Missing(words % {"n": intcomma(unreceived)}, unreceived)
    if undated := sum(not box.is_waiting and box.accessioned_on is None for box in boxes):
        words = ngettext("The day of accession of %(n)s delivery that has its number.",
                         "The day of accession of %(n)s deliveries that have their number.", undated)  # fmt: skip
        yield Missing(words % {"n": intcomma(undated)}, undated)


QUESTION: Final = Question(
    "arrival-to-accession", Group.RECORDS,
    gettext_lazy("How long was it between arrival and accession, and which box has waited longest?"),
    gettext_lazy("Each delivery with its days of receipt and accession; those without an accession number first."),
    _answer,
    (
        Parameter("year", ParameterKind.YEAR, gettext_lazy("Received in the year")),
        Parameter("by", ParameterKind.CHOICE, gettext_lazy("Shown"), default="delivery",
                  choices=(("delivery", gettext_lazy("each delivery")), ("year", gettext_lazy("by year")))),
    ),
)  # fmt: skip
