"""The days of a plan as an iCalendar file (RFC 5545), for the calendars of the team."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from icalendar import Alarm, Calendar, Event

from governance.plans.models import FieldPlan
from governance.plans.queries.deadlines import Deadline, PlanCalendar

PRODUCT = "-//Fieldwrit//Field plan//EN"


def calendar_file(plan: FieldPlan, found: PlanCalendar, *, now: datetime, site: str) -> bytes:
    """The file: CRLF, lines of 75 octets at most, UTF-8.

    Args:
        now: when it is made (UTC); every entry says so (DTSTAMP).
        site: address of the register without a slash at its end; its name makes identifiers unique in the world.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{plan.reference} {plan.title}")
    calendar.add("x-wr-caldesc", _described(found, now.date()))
    for one in found.deadlines:
        calendar.add_component(_event(one, plan, now, site))
    data: bytes = calendar.to_ical()
    return data


def _described(found: PlanCalendar, day: date) -> str:
    told = [_("As the register knew it on %(day)s. Make it again after a change.") % {"day": day.isoformat()}]
    if found.left_out:
        words = _("Days that restricted papers set are not in it: %(papers)s.")
        told.append(words % {"papers": ", ".join(found.left_out)})
    return " ".join(told)


def _event(one: Deadline, plan: FieldPlan, now: datetime, site: str) -> Event:
    event = Event()
    event.add("uid", f"plan-{plan.pk}-{one.key}@{site.partition('://')[2] or site}")
    event.add("dtstamp", now)
    event.add("dtstart", one.first)
    last = min(one.end, date.max - timedelta(1))
    event.add("dtend", last + timedelta(1))  # of whole days the end is the day after the last
    event.add("summary", f"{plan.reference}: {one.title}")
    if one.text:
        event.add("description", one.text)
    if one.category:
        event.add("categories", [one.category])
    if one.path:
        event.add("url", f"{site}{one.path}")
    event.add("transp", "OPAQUE" if one.is_busy else "TRANSPARENT")
    if one.alarm_days:
        event.add_component(_alarm(one))
    return event


def _alarm(one: Deadline) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", one.title)
    alarm.add("trigger", timedelta(days=-one.alarm_days))
    return alarm
