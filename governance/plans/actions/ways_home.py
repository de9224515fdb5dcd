"""Ways home added, changed and removed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import NotEditableError, add, change
from accessions.people.history import record, remove
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import keep_version
from governance.plans.models import Consignment, FieldPlan

WAY_HOME: Final = (
    "from_country", "to_country", "exported_on", "imported_on", "transferred_on", "carrier", "cites",
)  # fmt: skip
"""What a person types of a way home."""


def add_way_home(
    *, plan: FieldPlan, values: Mapping[str, Any], by: Any, why: str, seen: int | None = None
) -> Consignment:
    """Add a way home after those of the plan.

    Args:
        values: of ``WAY_HOME``.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``.
        ValidationError: a value that cannot be.
    """
    check(by, Verb.PLAN_TRIPS)
    if unknown := sorted(set(values) - set(WAY_HOME)):
        raise NotEditableError(f"not editable here: {', '.join(unknown)}; editable: {', '.join(WAY_HOME)}")
    with transaction.atomic():
        current = locked(plan, seen)
        last = current.consignments.aggregate(last=Max("position"))["last"]
        home = Consignment(plan=current, position=0 if last is None else last + 1, **values)
        add(home, by=by, why=why)
        keep_version(current, by=by, why=why)
    return home


def edit_way_home(
    *, way_home: Consignment, values: Mapping[str, Any], by: Any, why: str, seen: int | None = None
) -> list[str]:
    """Change a way home.

    Returns: the names of the fields that changed.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``, or the way home was taken off.
        ValidationError: a value that cannot be.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(way_home.plan, seen)
        _refuse_gone(way_home)
        changed = change(way_home, values, editable=WAY_HOME, by=by, why=why)
        keep_version(current, by=by, why=why)
    return changed


def remove_way_home(*, way_home: Consignment, by: Any, why: str, seen: int | None = None) -> FieldPlan:
    """Take a way home off; stops that named it go the first way of the plan from then on.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or changed since ``seen``.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(way_home.plan, seen)
        _refuse_gone(way_home)
        for stop in way_home.stops.all():
            stop.consignment = None
            record(stop, by=by, why=why, fields=["consignment"])
        remove(way_home, by=by, why=why)
        keep_version(current, by=by, why=why)
    return current


def _refuse_gone(way_home: Consignment) -> None:
    if not Consignment.objects.filter(pk=way_home.pk).exists():
        raise PlanError(_("This way home was taken off meanwhile."))
