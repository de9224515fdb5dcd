"""A plan held still while it is changed: two people at one plan do not lose each other's work."""

from __future__ import annotations

from django.utils.translation import gettext as _

from governance.plans.models import FieldPlan


class PlanError(Exception):
    """A change of a plan that cannot be made, with the reason in words."""


def locked(plan: FieldPlan, seen: int | None = None) -> FieldPlan:
    """The plan, locked until the transaction ends; every action on a plan begins with it.

    Args:
        seen: number of the version that the person had before them; None: it does not matter.

    Raises:
        PlanError: the plan is closed or became an accession, or somebody changed it since ``seen``.
    """
    current = FieldPlan.objects.select_for_update().get(pk=plan.pk)
    if current.accession_id is not None:
        raise PlanError(_("This plan became an accession and is no longer changed."))
    if current.closed_at is not None:
        raise PlanError(_("This plan is closed. Copy it to plan anew."))
    newest = current.versions.order_by("-number").first()
    if seen is not None and newest is not None and newest.number != seen:
        raise PlanError(
            _("%(person)s changed this plan meanwhile. Look at it again, then make your change.")
            % {"person": newest.kept_by.shown_name}
        )
    return current
