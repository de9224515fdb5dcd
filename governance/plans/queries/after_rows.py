"""The comparison after the trip as rows of a file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from governance.plans.queries.after import AfterTrip, Difference, EventAfter
from governance.plans.queries.event_differences import Otherwise

HEADER: Final = tuple(
    map(
        gettext_lazy,
        ("of", "number", "first day", "last day", "people", "nearest stop", "distance (m)", "specimens", "subject",
         "difference", "matters", "because"),
    )
)  # fmt: skip

Row = list[Any]


def rows_of(after: AfterTrip) -> Iterator[Row]:
    """Events, then stops, then deliveries; what is as planned or not known has a row too."""
    for event in after.events:
        yield from _lines(_event(event), event.differences, event.unknown)
    for stop in after.stops:
        start = [_("stop"), stop.planned.name, *_iso(*stop.planned.loaded.days), "", "", None, stop.specimens]
        if not stop.is_visited:
            said = _("no event is known to be in its planned place") if stop.may_be_visited else _("not visited")
            yield [*start, "", said, "", ""]
        if stop.differences:
            yield from _lines(start, stop.differences, ())
    for delivery in after.deliveries:
        start = [_("delivery"), str(delivery.delivery), "", "", "", "", None, None]
        yield from _lines(start, delivery.differences, delivery.unknown)


def _event(one: EventAfter) -> Row:
    event, apart = one.real.event, one.apart
    metres = None if apart is None or apart.apart_m is None else round(apart.apart_m, 1)
    return [
        _("event"), event.number, *_iso(event.earliest_on, event.latest_on), ", ".join(one.real.people),
        apart.stop.name if apart else "", metres, one.real.specimens,
    ]  # fmt: skip


def _iso(*days: Any) -> list[str]:
    return [day.isoformat() if day else "" for day in days]


def _lines(start: Row, differences: tuple[Difference, ...], unknown: tuple[Otherwise, ...]) -> Iterator[Row]:
    if not differences and not unknown:
        yield [*start, "", _("as planned"), "", ""]
    for difference in differences:
        because = "; ".join(f"{said.words} ({said.specimens})" for said in difference.judgement.said)
        yield [*start, str(difference.subject.label), difference.sentence, difference.weight.word, because]
    for one in unknown:
        yield [*start, str(one.subject.label), one.sentence, _("cannot be compared"), ""]
