"""A plan begun, its face corrected, the plan closed and opened again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import NotEditableError, add, change
from accessions.people.history import record
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import keep_version
from governance.plans.models import PLANNED_USES, FieldPlan

FACE: Final = ("reference", "title", "leader", "language", "uses", "contacts", "remarks")
"""What a person types of a plan."""

_END: Final = ("closed_at", "closed_by", "closed_why")


def add_plan(*, values: Mapping[str, Any], by: Any, why: str) -> FieldPlan:
    """Begin a plan.

    Args:
        values: of ``FACE``.

    Raises:
        NotAllowedError: the person may not plan trips.
        ValidationError: a value that cannot be, such as a number that another plan has.
    """
    check(by, Verb.PLAN_TRIPS)
    _refuse_others(values)
    _refuse_unknown_uses(values.get("uses", ()))
    plan = FieldPlan(**values)
    try:
        with transaction.atomic():
            add(plan, by=by, why=why)
            keep_version(plan, by=by, why=why)
    except IntegrityError as error:  # two people took the offered number at once
        raise ValidationError({"reference": _("Another plan has this number by now.")}) from error
    return plan


def edit_plan(*, plan: FieldPlan, values: Mapping[str, Any], by: Any, why: str, seen: int | None = None) -> list[str]:
    """Correct the face of a plan.

    Returns: the names of the fields that changed.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed, or changed since ``seen``.
        ValidationError: a value that cannot be.
    """
    check(by, Verb.PLAN_TRIPS)
    _refuse_unknown_uses(values.get("uses", ()))
    with transaction.atomic():
        current = locked(plan, seen)
        changed = change(current, values, editable=FACE, by=by, why=why)
        keep_version(current, by=by, why=why)
    return changed


def close_plan(*, plan: FieldPlan, by: Any, why: str, seen: int | None = None) -> FieldPlan:
    """End a plan that is over or given up: from now on it counts against no cap.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: no reason is given, or the plan is closed or became an accession.
    """
    check(by, Verb.PLAN_TRIPS)
    why = why.strip()
    if not why:
        raise PlanError(_("Say why the plan is closed: it is over, or was given up."))
    with transaction.atomic():
        current = locked(plan, seen)
        current.closed_at, current.closed_by, current.closed_why = timezone.now(), by, why[:200]
        record(current, by=by, why=why, fields=_END)
    return current


def reopen_plan(*, plan: FieldPlan, by: Any, why: str) -> FieldPlan:
    """Take up a closed plan again.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is open, or became an accession.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = FieldPlan.objects.select_for_update().get(pk=plan.pk)
        if current.accession_id is not None:
            raise PlanError(_("This plan became an accession and is no longer changed."))
        if current.closed_at is None:
            raise PlanError(_("This plan is open."))
        current.closed_at, current.closed_by, current.closed_why = None, None, ""
        record(current, by=by, why=why, fields=_END)
    return current


def _refuse_others(values: Mapping[str, Any]) -> None:
    if unknown := sorted(set(values) - set(FACE)):
        raise NotEditableError(f"not editable here: {', '.join(unknown)}; editable: {', '.join(FACE)}")


def _refuse_unknown_uses(uses: Any) -> None:
    if unknown := sorted(set(uses) - set(PLANNED_USES)):
        raise ValidationError({"uses": _("%(uses)s is no use that is known here.") % {"uses": ", ".join(unknown)}})
