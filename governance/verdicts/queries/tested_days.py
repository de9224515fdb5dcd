"""Which day each layer tests, and what was written of it (the contract of verdicts, section 2)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import Delivery, SamplingEvent
from accessions.values import read_event_date
from governance.engine.tables import Layer
from governance.papers.models import PaperKind
from governance.verdicts.shown_days import span


@dataclass(frozen=True)
class TestedDay:
    """A day as written and as read. did: what happened on it ("collected"), for a timeline. first, last: None: open."""

    did: str
    written: str
    first: date | None
    last: date | None

    __test__ = False

    @property
    def is_read(self) -> bool:
        return self.first is not None or self.last is not None

    @property
    def short(self) -> str:
        """As tables show it; what was written if it could not be read."""
        if self.first and self.last:
            return span(self.first, self.last)
        return self.written or _("not recorded")

    @property
    def long(self) -> str:
        """As text says it: "17 June 2024", "3 June 2024 to 18 June 2024"."""
        if not (self.first and self.last):
            return self.written or _("not recorded")
        if self.first == self.last:
            return date_format(self.first, "j F Y")
        return _("%(first)s to %(last)s") % {
            "first": date_format(self.first, "j F Y"), "last": date_format(self.last, "j F Y"),
        }  # fmt: skip


@dataclass(frozen=True)
class TestedDays:
    """The four days of a specimen."""

    collected: TestedDay
    exported: TestedDay
    imported: TestedDay
    transferred: TestedDay

    __test__ = False

    def of_layer(self, layer: Layer, paper_kinds: tuple[str, ...] = ()) -> TestedDay:
        """The day that a layer tests; on CITES it goes by the kind of the paper."""
        if layer is Layer.CITES:
            return self.imported if PaperKind.CITES_IMPORT_PERMIT in paper_kinds else self.exported
        return {
            Layer.EXPORT: self.exported, Layer.IMPORT: self.imported, Layer.TRANSFER: self.transferred,
        }.get(layer, self.collected)  # fmt: skip

    @property
    def recorded(self) -> list[TestedDay]:
        """Those that could be read, in the order in which they happen."""
        return [day for day in (self.collected, self.exported, self.imported, self.transferred) if day.is_read]


def tested_days(event: SamplingEvent, delivery: Delivery | None) -> TestedDays:
    """The days of a specimen; those of the way here come from its delivery."""
    written = event.event_date or event.verbatim_event_date
    return TestedDays(
        TestedDay(_("collected"), written, event.earliest_on, event.latest_on),
        _read(_("left"), delivery.exported_on if delivery else ""),
        _read(_("arrived"), delivery.imported_on if delivery else ""),
        _read(_("changed hands"), delivery.transferred_on if delivery else ""),
    )


def _read(did: str, written: str) -> TestedDay:
    read = read_event_date(written)
    return TestedDay(did, written, _day(read.earliest_day), _day(read.latest_day))


def _day(number: int | None) -> date | None:
    return None if number is None else date.fromordinal(number)
