"""Duties as an iCalendar feed (RFC 5545), which calendar programs read again and again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event

from governance.duties.queries.listing import DutyLine
from governance.duties.words import about_words, days_words
from governance.engine.duties import State

PRODUCT: Final = "-//Fieldwrit//Duties//EN"
ALARM_DAYS: Final = 7
"""Days before its day on which a calendar program reminds of a duty."""
_EVERY: Final = timedelta(hours=6)
"""How often programs are asked to read again (RFC 7986, section 5.7)."""


def duties_feed(found: Sequence[DutyLine], *, name: str, now: datetime, today: date, site: str, host: str,
                ) -> bytes:  # fmt: skip
    """The feed: one whole-day entry a duty. Each keeps its identifier, so that a day that moves moves in the calendar.

    Args:
        name: what the calendar is called.
        now: when it is made (UTC); every entry says so (DTSTAMP).
        today: the day of the house, by which lateness is counted.
        site: address of the register without a slash at its end, for links.
        host: what makes identifiers unique in the world; the same whichever way the register is reached.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", _EVERY, parameters={"value": "DURATION"})
    for line in found:
        calendar.add_component(_event(line, now, today, site, host))
    data: bytes = calendar.to_ical()
    return data


def _event(line: DutyLine, now: datetime, today: date, site: str, host: str) -> Event:
    duty = line.duty
    day = min(duty.due_on or date.max, date.max - timedelta(1))
    event = Event()
    event.add("uid", f"duty-{duty.pk}@{host}")
    event.add("dtstamp", now)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(1))  # of whole days the end is the day after the last
    event.add("summary", _summary(line))
    event.add("description", _description(line, today))
    event.add("categories", [str(duty.get_kind_display())])
    event.add("url", site + reverse("duties:duty", args=[duty.pk]))
    event.add("transp", "TRANSPARENT")
    event.add_component(_alarm(line))
    return event


def _summary(line: DutyLine) -> str:
    """ "Late: Report on what was taken (COL-2024-052)"."""
    words = " ".join(line.what.split())
    if line.duty.paper is not None:
        words = f"{words} ({line.duty.paper.reference})"
    return _("Late: %(what)s") % {"what": words} if line.state == State.LATE else words


def _description(line: DutyLine, today: date) -> str:
    duty = line.duty
    told = [line.hidden, _("To %(whom)s.") % {"whom": line.to_whom.rstrip(".")} if line.to_whom else ""]
    about = about_words(duty.about_from, duty.about_to)
    told.append(_("About %(time)s.") % {"time": about} if about else "")
    told.append(
        _("Seen to by %(name)s.") % {"name": duty.assignee.shown_name} if duty.assignee else _("Nobody sees to it.")
    )
    if line.state == State.LATE:
        told.append(_("%(days)s on %(day)s.") % {"days": days_words(duty.due_on, today), "day": today.isoformat()})
    return " ".join(part for part in told if part)


def _alarm(line: DutyLine) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", _summary(line))
    alarm.add("trigger", timedelta(days=-ALARM_DAYS))
    return alarm
