"""A draft of the letter that asks for a paper: the facts of the plan. What is not known stays a marked blank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from governance.engine.tables import Layer
from governance.jurisdictions.codes import country_name
from governance.papers.models import LAYER_NAMES
from governance.plans.models import PLANNED_USES, Application
from governance.plans.planned_rows import LoadedPlan, LoadedStop
from governance.verdicts.shown_days import written_span


def blank(what: str) -> str:
    """A marked blank: nothing is invented."""
    return f"[NOT KNOWN: {what}]"


def letter(application: Application, loaded: LoadedPlan, today: date) -> str:
    """Plain text, in English. The stops are those that it is for."""
    keys = {one.stop_id for one in application.application_stops.all()}
    stops = [one for one in loaded.stops if application.all_stops or one.stop.pk in keys]
    return "\n".join(_lines(application, loaded, stops, today)).rstrip() + "\n"


def _lines(application: Application, loaded: LoadedPlan, stops: Sequence[LoadedStop], today: date) -> Iterator[str]:
    plan = loaded.plan
    yield "DRAFT, not sent. Read every line before it leaves; fill in what stands in square brackets."
    yield ""
    yield f"To: {application.authority or blank('whom to ask')}"
    yield from (f"    {line}" for line in application.contact.splitlines())
    yield f"Date: {_day(today)}"
    yield f"Our reference: {plan.reference}"
    if application.number:
        yield f"Your reference: {application.number}"
    kind, layer = application.get_kind_display(), LAYER_NAMES[Layer(application.layer)]
    yield ""
    yield f"Subject: application, {kind} ({layer}), {plan.title}"
    yield ""
    yield f"We apply for: {kind}."
    yield f"Project and purpose: {plan.title}. {blank('purpose of the work, in a few sentences')}"
    yield f"Led by: {plan.leader or blank('who leads the work')}"
    yield ""
    yield "Places and days"
    if not stops:
        yield f"  {blank('no stop is in the plan yet')}"
    for number, one in enumerate(stops, 1):
        yield from _stop(number, one)
    yield ""
    yield "Uses meant for the material"
    uses = [str(PLANNED_USES[word]) for word in plan.uses if word in PLANNED_USES]
    yield from (f"  - {use}" for use in uses or [blank("what the material is for")])
    yield ""
    yield "Way home of the material"
    yield from _homes(loaded)
    yield ""
    if application.note:
        yield "Note of ours, to be worked in or taken out"
        yield from (f"  {line}" for line in application.note.splitlines())
        yield ""
    yield "With kind regards"
    yield application.assignee.shown_name if application.assignee else blank("who signs")


def _stop(number: int, one: LoadedStop) -> Iterator[str]:
    stop = one.stop
    yield f"  {number}. {stop.name}"
    rows: list[tuple[str, str]] = [
        ("Place", _place(one)), ("Days", _days(one.days[0], one.days[1])),
        ("Methods", ", ".join(_ways(one)) or blank("methods")),
        ("Groups", "; ".join(_group(group) for group in one.targets) or blank("groups and numbers")),
        ("People", stop.people.replace(" | ", ", ") or blank("who takes part")),
    ]  # fmt: skip
    yield from (f"     {label + ':':<9}{text}" for label, text in rows)


def _place(one: LoadedStop) -> str:
    stop, site = one.stop, one.stop.site
    country = stop.country or (site.country if site else "")
    told = [f"{site.name} ({site.code})" if site else "", _country(country)]
    if stop.longitude_deg is not None and stop.latitude_deg is not None:
        point = f"{_degrees(stop.latitude_deg, 'N', 'S')}, {_degrees(stop.longitude_deg, 'E', 'W')} (WGS84)"
        told.append(
            point + (f", within {stop.radius_m:g} m" if stop.radius_m else f", {blank('how far from the point')}")
        )
    elif stop.area:
        told.append("a drawn area, enclosed as a map")
    elif site is None:
        told.append(blank("where exactly"))
    return "; ".join(filter(None, told))


def _degrees(value: float, positive: str, negative: str) -> str:
    return f"{abs(value):.5f}° {positive if value >= 0 else negative}"


def _ways(one: LoadedStop) -> list[str]:
    methods = [method.strip() for method in one.stop.methods.split("|") if method.strip()]
    return methods + [
        f"{trap.number} × {trap.method} ({_days(trap.first_on, trap.last_on)})" for trap in one.traps
    ]  # fmt: skip


def _group(group: Any) -> str:
    of = ", ".join(filter(None, [group.rank, group.higher.rpartition("|")[2].strip() or group.kingdom]))
    number = f"{group.expected} specimens" if group.expected else blank("how many")
    return f"{group.name} ({of}), {number}" if of else f"{group.name}, {number}"


def _homes(loaded: LoadedPlan) -> Iterator[str]:
    if not loaded.homes:
        yield f"  {blank('how the material leaves the country, or that it stays')}"
    for home in loaded.homes:
        yield f"  - from {_country(home.from_country)} to {_country(home.to_country)}"
        yield f"    leaves on: {_written(home.exported_on)}; arrives on: {_written(home.imported_on)}"
        yield f"    carried by: {home.carrier or blank('carrier')}"


def _country(code: str) -> str:
    return country_name(code) if code else blank("country")


def _days(first: date | None, last: date | None) -> str:
    if first is None and last is None:
        return blank("days")
    if first == last:
        return _day(first)
    return f"{_day(first) if first else blank('first day')} to {_day(last) if last else blank('last day')}"


def _written(text: str) -> str:
    """A day of a way home in full; as written where it is no day."""
    found = written_span(text)
    return _days(*found) if found else text or blank("day")


def _day(day: date | None) -> str:
    return f"{day.day} {day:%B} {day.year}" if day else ""
