"""The path of a delivery as steps: what is done, what comes now, what later; and the labels of its boxes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Delivery
from accessions.material.quarantine_regimes import REGIMES
from accessions.material.queries.arrivals import Stand, Waiting, as_of, changes_of_delivery
from accessions.people.changes import Change


class State(StrEnum):
    """How far a step is."""

    DONE = "done"
    NOW = "now"
    LATER = "later"


@dataclass(frozen=True)
class Step:
    """One step. said: what is recorded of it, or what it waits for."""

    key: str
    title: str
    state: State
    said: str


@dataclass(frozen=True)
class Path:
    """The five steps of a delivery, where it stands, and its history."""

    waiting: Waiting
    steps: Sequence[Step]
    changes: Sequence[Change]


def path_of(delivery: Delivery, today: date) -> Path:
    """One query, for the history."""
    waiting = as_of(delivery, today)
    steps = [_receipt(delivery), _quarantine(delivery), _release(delivery, waiting), _papers(delivery),
             _accession(delivery)]  # fmt: skip
    return Path(waiting, steps, changes_of_delivery(delivery))


def _receipt(delivery: Delivery) -> Step:
    boxes = ngettext("%(n)d box", "%(n)d boxes", delivery.boxes) % {"n": delivery.boxes} if delivery.boxes else ""
    parts = [
        _("received on %(day)s") % {"day": _day(delivery.received_on)} if delivery.received_on else "",
        _("by %(name)s") % {"name": delivery.received_by} if delivery.received_by else "",
        _("brought by %(name)s") % {"name": delivery.brought_by} if delivery.brought_by else "",
        _("from %(name)s") % {"name": delivery.sender} if delivery.sender else "",
        boxes,
    ]
    return Step("receipt", _("Receipt"), State.DONE, _sentence(parts) or _("No receipt was written."))


def _quarantine(delivery: Delivery) -> Step:
    title = _("Quarantine")
    if delivery.quarantine_waived:
        return Step("quarantine", title, State.DONE, _sentence([_("None needed"), delivery.quarantine_waived]))
    if delivery.quarantine_in_on is None:
        state = State.NOW if delivery.is_unreleased else State.LATER
        return Step("quarantine", title, state, _("Not recorded yet: into which quarantine, or why it needs none."))
    parts = [
        _("in since %(day)s") % {"day": _day(delivery.quarantine_in_on)},
        delivery.treatment, _conditions(delivery),
        _("put in by %(name)s") % {"name": delivery.quarantine_by} if delivery.quarantine_by else "",
    ]  # fmt: skip
    return Step("quarantine", title, State.DONE, _sentence(parts))


def _conditions(delivery: Delivery) -> str:
    """Temperature and hours as they were, where they differ from those of the published treatment."""
    published = next((one for one in REGIMES if str(one.words) == delivery.treatment), None)
    if published and (published.degrees_c, published.hours) == (delivery.treatment_degrees_c, delivery.treatment_hours):
        return ""
    degrees = delivery.treatment_degrees_c
    parts = [
        _("%(n)s °C") % {"n": f"{degrees:g}"} if degrees is not None else "",
        ngettext("%(n)d hour", "%(n)d hours", delivery.treatment_hours) % {"n": delivery.treatment_hours}
        if delivery.treatment_hours
        else "",
    ]
    return ", ".join(part for part in parts if part)


def _release(delivery: Delivery, waiting: Waiting) -> Step:
    title = _("Release")
    if delivery.released_at is not None and delivery.released_by is not None:
        day = _day(timezone.localdate(delivery.released_at))
        words = _("Released on %(day)s by %(name)s.") % {"day": day, "name": delivery.released_by.shown_name}
        return Step("release", title, State.DONE, words)
    if not delivery.is_unreleased:
        return Step("release", title, State.DONE, _("Out of quarantine; who released it was not recorded."))
    if waiting.stand == Stand.RELEASE:
        return Step("release", title, State.NOW, _("It can be released."))
    if waiting.stand == Stand.HOURS:
        day = _day(delivery.earliest_release_on)
        return Step(
            "release", title, State.LATER, _("Its hours have passed for certain from %(day)s on.") % {"day": day}
        )
    return Step("release", title, State.LATER, _("After its quarantine."))


def _papers(delivery: Delivery) -> Step:
    title = _("Papers and scans")
    if delivery.accession_id is None:
        words = _("Keep the papers together under the entry number. Scans are filed once there is an accession number.")
        return Step("papers", title, State.LATER, words)
    return Step("papers", title, State.NOW, _("They go into the file of the accession, now or on any later day."))


def _accession(delivery: Delivery) -> Step:
    title = _("Accession number")
    if delivery.accession is None:
        words = _("Give it a new number, or add it to an accession. It need not be released for that.")
        return Step("accession", title, State.NOW, words)
    words = _("Delivery %(n)d of %(number)s.") % {"n": delivery.number, "number": delivery.accession.number}
    return Step("accession", title, State.DONE, words)


def _sentence(parts: Sequence[str]) -> str:
    words = ", ".join(part for part in parts if part)
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _day(day: date | None) -> str:
    return date_format(day, "j F Y") if day else ""


def label_rows(delivery: Delivery) -> list[int]:
    """The numbers of its boxes; one where nobody counted."""
    return list(range(1, (delivery.boxes or 1) + 1))
