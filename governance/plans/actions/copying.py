"""Last year's plan as the start of this year's: stops, groups, traps and ways home, their days moved."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add
from governance.papers.lifetimes import Standing, lifetime
from governance.plans.actions.versions import keep_version
from governance.plans.models import Consignment, FieldPlan, PlanPaper, Stop
from governance.plans.moved_days import Shift

_COPIED = ("leader", "language", "uses", "contacts", "remarks")


@dataclass(frozen=True)
class CopyMade:
    """The copy, and what did not come along.

    papers: how many came. papers_left: references of those that are not in force on the first day of the copy.
    days_left: days of ways home that are not known to the day, as they were written.
    """

    plan: FieldPlan
    papers: int
    papers_left: tuple[str, ...]
    days_left: tuple[str, ...]


def copy_plan(
    *, plan: FieldPlan, reference: str, title: str, shift: Shift, same_weekdays: bool = False,
    with_papers: bool = False, today: date, by: Any, why: str,
) -> CopyMade:  # fmt: skip
    """Make a plan of a plan, also of one that is closed. Applications, decisions, notices and sign-offs stay behind:
    they were given for the days of the old one.

    Args:
        shift: how far all days move. same_weekdays: by the whole weeks that come nearest.
        with_papers: whether papers come along that are in force on the first day of the copy.

    Raises:
        NotAllowedError: the person may not plan trips, or link papers where papers come along.
        ValidationError: a number that another plan has, or a title that is blank.
    """
    check(by, Verb.PLAN_TRIPS)
    if with_papers:
        check(by, Verb.LINK_PAPERS)
    with transaction.atomic():
        face = {name: getattr(plan, name) for name in _COPIED} | {"reference": reference, "title": title}
        made = FieldPlan(copied_from=plan, **face)
        add(made, by=by, why=why)
        stops = list(plan.stops.prefetch_related("targets", "traps").order_by("position", "pk"))
        moved = shift.on_same_weekdays(_first_day(stops)) if same_weekdays else shift
        homes, days_left = _homes(plan, made, moved, by, why)
        new_stops = {stop.pk: _stop(stop, made, homes, moved, by, why) for stop in stops}
        taken, left = _papers(plan, made, new_stops, today, by, why) if with_papers else (0, ())
        keep_version(made, by=by, why=why)
    return CopyMade(made, taken, left, days_left)


def _first_day(stops: Iterable[Stop]) -> date | None:
    days = [day for stop in stops for day in (stop.first_on, *(trap.first_on for trap in stop.traps.all()))]
    return min((day for day in days if day), default=None)


def _homes(
    plan: FieldPlan, made: FieldPlan, shift: Shift, by: Any, why: str
) -> tuple[dict[int, Consignment], tuple[str, ...]]:
    """The new ways home by the key of the old, and the days that are not known to the day."""
    homes: dict[int, Consignment] = {}
    left: list[str] = []
    for home in plan.consignments.order_by("position", "pk"):
        new = _anew(home, plan=made)
        for name in ("exported_on", "imported_on", "transferred_on"):
            written = getattr(home, name)
            setattr(new, name, shift.of_text(written))
            if written and not getattr(new, name):
                left.append(written)
        add(new, by=by, why=why)
        homes[home.pk] = new
    return homes, tuple(dict.fromkeys(left))


def _stop(stop: Stop, made: FieldPlan, homes: dict[int, Consignment], shift: Shift, by: Any, why: str) -> Stop:
    new: Stop = _anew(stop, plan=made, **_moved(stop, shift))
    new.consignment = homes.get(stop.consignment_id or 0)
    add(new, by=by, why=why)
    for target in stop.targets.all():
        add(_anew(target, stop=new), by=by, why=why)
    for trap in stop.traps.all():
        add(_anew(trap, stop=new, **_moved(trap, shift)), by=by, why=why)
    return new


def _moved(row: Any, shift: Shift) -> dict[str, date | None]:
    return {"first_on": shift.of_maybe(row.first_on), "last_on": shift.of_maybe(row.last_on)}


def _anew(row: Any, **values: Any) -> Any:
    """A row like this one, without a key."""
    names = [field.name for field in row._meta.concrete_fields if not field.primary_key]
    return type(row)(**{name: getattr(row, name) for name in names} | values)


def _papers(
    plan: FieldPlan, made: FieldPlan, stops: dict[int, Stop], today: date, by: Any, why: str
) -> tuple[int, tuple[str, ...]]:
    """How many came along, and the references of those that did not."""
    on = _first_day(made.stops.prefetch_related("traps")) or today
    rows = plan.plan_papers.filter(unlinked_at__isnull=True).select_related("paper")
    taken, left = 0, []
    for row in rows.prefetch_related("paper__versions", "paper__statuses"):
        if lifetime(row.paper, on).standing != Standing.IN_FORCE:
            left.append(row.paper.reference)
            continue
        stop = None if row.stop_id is None else stops[row.stop_id]
        PlanPaper.objects.create(
            plan=made, stop=stop, paper=row.paper, linked_by=by,
            why=gettext_noop("copied from %(plan)s") % {"plan": plan.reference},
        )  # fmt: skip
        taken += 1
    return taken, tuple(dict.fromkeys(left))
