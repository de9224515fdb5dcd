"""Stops added, changed, moved, removed, and taken over many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import NotEditableError, add, change
from accessions.people.history import record, remove
from governance.engine.tables import fold
from governance.plans.actions.asking_of_stops import let_go
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.stop_rows import TARGETS, TRAPS, Rows, keep_rows
from governance.plans.actions.versions import keep_version
from governance.plans.models import FieldPlan, Stop
from governance.plans.stop_draft import StopDraft

STOP: Final = (
    "name", "site", "country", "longitude_deg", "latitude_deg", "radius_m", "area", "first_on", "last_on", "methods",
    "people", "consignment", "remarks",
)  # fmt: skip
"""What a person types of a stop."""

MOST_STOPS: Final = 500
"""Of one plan. More is a slip of pasting, and the matrix of a check could not be read."""


def add_stop(
    *, plan: FieldPlan, values: Mapping[str, Any], targets: Sequence[Mapping[str, Any]] = (),
    traps: Sequence[Mapping[str, Any]] = (), by: Any, why: str, seen: int | None = None,
) -> Stop:  # fmt: skip
    """Add a stop at the end of a plan.

    Args:
        values: of ``STOP``. targets: name, kingdom, rank, higher, expected. traps: method, number, first_on, last_on.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``, or has as many stops as it may.
        ValidationError: a value that cannot be.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(plan, seen)
        _refuse_too_many(current, 1)
        stop = _added(current, StopDraft(values, targets, traps), by, why)
        keep_version(current, by=by, why=why)
    return stop


def edit_stop(
    *, stop: Stop, values: Mapping[str, Any], targets: Rows = None, traps: Rows = None, by: Any, why: str,
    seen: int | None = None,
) -> Stop:  # fmt: skip
    """Change a stop. targets, traps: what is to stand there from now on; None leaves them as they are.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``.
        ValidationError: a value that cannot be.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(stop.plan, seen)
        found = _still_there(stop)
        _changed(current, found, StopDraft(values, targets, traps), by, why)
        keep_version(current, by=by, why=why)
    return found


def remove_stop(*, stop: Stop, by: Any, why: str, seen: int | None = None) -> FieldPlan:
    """Take a stop off its plan, with its groups and traps, the papers and decisions for it alone; history keeps them.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``, or a paper is being asked for this stop alone.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(stop.plan, seen)
        _removed(_still_there(stop), by, why)
        _renumber(list(current.stops.order_by("position", "pk")), by, why)
        keep_version(current, by=by, why=why)
    return current


def move_stop(*, stop: Stop, up: bool, by: Any, why: str, seen: int | None = None) -> bool:
    """Change places with the stop before it (up) or after it.

    Returns: whether it moved; the first does not move up.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(stop.plan, seen)
        _still_there(stop)
        order = list(current.stops.order_by("position", "pk"))
        place = next(number for number, one in enumerate(order) if one.pk == stop.pk)
        other = place - 1 if up else place + 1
        if not 0 <= other < len(order):
            return False
        order[place], order[other] = order[other], order[place]
        _renumber(order, by, why)
        keep_version(current, by=by, why=why)
    return True


def take_stops(
    *, plan: FieldPlan, stops: Sequence[StopDraft], replace: bool, by: Any, why: str, seen: int | None = None
) -> tuple[int, int, int]:
    """Take over many stops at once, all or none.

    Args:
        replace: the stops become those of the plan: a stop of the same name is changed and keeps its papers and
            decisions, one that is not among them goes. Otherwise they are added at the end.

    Returns: how many were added, changed and removed.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``, there are too many stops, or a stop cannot go.
        ValidationError: a value that cannot be; nothing is taken then.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(plan, seen)
        known = list(current.stops.order_by("position", "pk")) if replace else []
        paired = _paired(known, stops)
        gone = [stop for stop in known if stop not in [old for old, _draft in paired]]
        for stop in gone:
            _removed(stop, by, why)
        _refuse_too_many(current, sum(old is None for old, _draft in paired))
        order = [_taken(current, old, draft, by, why) for old, draft in paired]
        if replace:
            _renumber(order, by, why)
        keep_version(current, by=by, why=why)
    changed = sum(old is not None for old, _draft in paired)
    return len(paired) - changed, changed, len(gone)


def _taken(plan: FieldPlan, old: Stop | None, draft: StopDraft, by: Any, why: str) -> Stop:
    if old is None:
        return _added(plan, draft, by, why)
    _changed(plan, old, draft, by, why)
    return old


def _paired(known: Iterable[Stop], drafts: Sequence[StopDraft]) -> list[tuple[Stop | None, StopDraft]]:
    """Each draft with the stop of its name, each stop once."""
    by_name: dict[str, list[Stop]] = {}
    for stop in known:
        by_name.setdefault(fold(stop.name), []).append(stop)
    pairs: list[tuple[Stop | None, StopDraft]] = []
    for draft in drafts:
        same = by_name.get(fold(str(draft.values.get("name", ""))), [])
        pairs.append((same.pop(0) if same else None, draft))
    return pairs


def _added(plan: FieldPlan, draft: StopDraft, by: Any, why: str) -> Stop:
    _refuse_values(plan, draft.values)
    last = plan.stops.aggregate(last=Max("position"))["last"]
    stop = Stop(plan=plan, position=0 if last is None else last + 1, **draft.values)
    add(stop, by=by, why=why)
    keep_rows(stop, TARGETS, draft.targets or (), by=by, why=why)
    keep_rows(stop, TRAPS, draft.traps or (), by=by, why=why)
    return stop


def _changed(plan: FieldPlan, stop: Stop, draft: StopDraft, by: Any, why: str) -> None:
    _refuse_values(plan, draft.values)
    change(stop, draft.values, editable=STOP, by=by, why=why)
    if draft.targets is not None:
        keep_rows(stop, TARGETS, draft.targets, by=by, why=why)
    if draft.traps is not None:
        keep_rows(stop, TRAPS, draft.traps, by=by, why=why)


def _removed(stop: Stop, by: Any, why: str) -> None:
    let_go(stop, by=by, why=why)
    for row in (*stop.targets.all(), *stop.traps.all(), *stop.decisions.all(), *stop.notices.all()):
        remove(row, by=by, why=why)
    remove(stop, by=by, why=why)


def _refuse_values(plan: FieldPlan, values: Mapping[str, Any]) -> None:
    if unknown := sorted(set(values) - set(STOP)):
        raise NotEditableError(f"not editable here: {', '.join(unknown)}; editable: {', '.join(STOP)}")
    home = values.get("consignment")
    if home is not None and home.plan_id != plan.pk:
        raise ValidationError({"consignment": _("This way home is of another plan.")})


def _refuse_too_many(plan: FieldPlan, more: int) -> None:
    number = plan.stops.count() + more
    if number > MOST_STOPS:
        raise PlanError(
            _("The plan would have %(n)d stops; at most %(most)d are planned together. Part it into several plans.")
            % {"n": number, "most": MOST_STOPS}
        )


def _still_there(stop: Stop) -> Stop:
    found = Stop.objects.filter(pk=stop.pk).first()
    if found is None:
        raise PlanError(_("The stop %(name)s was removed meanwhile.") % {"name": stop.name})
    return found


def _renumber(order: Sequence[Stop], by: Any, why: str) -> None:
    for position, stop in enumerate(order):
        if stop.position != position:
            stop.position = position
            record(stop, by=by, why=why, fields=["position"])
