"""What is odd in the facts of a specimen, in words: never a refusal, since odd facts happen.

Source: the sanity rules of collection work: collected before received before accessioned, exported after collected,
determined after collected, traps not longer than six weeks.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Final

from django.db.models import Sum
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import Delivery, SamplingEvent, Specimen
from accessions.values import read_date

LONGEST_TRAP_RUN: Final = timedelta(weeks=6)


def oddities_of(specimen: Specimen, *, date_identified: str = "") -> list[str]:
    """The sentences about a specimen with its event, accession, delivery and current determination."""
    return [
        *_about_event(specimen.event),
        *_about_receipt(specimen),
        *_about_journey(specimen.event, specimen.delivery),
        *_about_determination(specimen.event, date_identified),
        *_about_fractions(specimen),
    ]


def _about_event(event: SamplingEvent) -> Iterator[str]:
    first, last = event.earliest_on, event.latest_on
    if first and last and event.reading == SamplingEvent.Reading.RUN and last - first > LONGEST_TRAP_RUN:
        weeks = (last - first).days // 7
        yield _("The trap ran for %(weeks)s weeks, from %(first)s to %(last)s; runs over six weeks are rare.") % {
            "weeks": weeks, "first": _day(first), "last": _day(last)
        }  # fmt: skip


def _about_receipt(specimen: Specimen) -> Iterator[str]:
    first, received = specimen.event.earliest_on, _received_on(specimen)
    if first and received and first > received:
        yield _("Collected on %(first)s, after the accession was received on %(received)s.") % {
            "first": _day(first), "received": _day(received)
        }  # fmt: skip


def _received_on(specimen: Specimen) -> date | None:
    by_delivery = specimen.delivery.received_on if specimen.delivery else None
    return by_delivery or specimen.accession.received_on


def _about_journey(event: SamplingEvent, delivery: Delivery | None) -> Iterator[str]:
    exported = last_day_of(delivery.exported_on) if delivery else None
    if event.earliest_on and exported and exported < event.earliest_on:
        yield _("Left the country on %(exported)s, before it was collected on %(first)s.") % {
            "exported": _day(exported), "first": _day(event.earliest_on)
        }  # fmt: skip


def _about_determination(event: SamplingEvent, date_identified: str) -> Iterator[str]:
    determined = last_day_of(date_identified)
    if event.earliest_on and determined and determined < event.earliest_on:
        yield _("Determined on %(determined)s, before it was collected on %(first)s.") % {
            "determined": date_identified, "first": _day(event.earliest_on)
        }  # fmt: skip


def _about_fractions(specimen: Specimen) -> Iterator[str]:
    """Fractions taken from a lot hold no more than the lot did; a leg or an extract is no individual."""
    fractions = specimen.children.exclude(kind=Specimen.Kind.PART)
    taken = fractions.aggregate(total=Sum("count_low"))["total"] or 0
    if specimen.count_high is not None and taken > specimen.count_high:
        yield _("%(taken)s individuals were taken from it; it held %(held)s at most.") % {
            "taken": taken, "held": specimen.count_high
        }  # fmt: skip


def last_day_of(written: str) -> date | None:
    """The last day that a written date may mean; None where it is blank or cannot be read."""
    read = read_date(written, "", "", "", "")
    day = read.latest_day
    return date.fromordinal(day) if day and 1 <= day <= date.max.toordinal() else None


def _day(day: date) -> str:
    return date_format(day, "j F Y")
