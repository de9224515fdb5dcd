"""Applications for papers that a plan lacks: entered, corrected, and the files that belong to them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check, may
from accessions.people.editing import NotEditableError, add, change
from accessions.people.history import record, remove
from governance.plans.actions.locking import PlanError, locked
from governance.plans.models import Application, ApplicationScan, ApplicationStop, FieldPlan
from governance.scans.actions.dropping import Arrived, Drop, take_in
from governance.scans.filed import Filed, Outcome
from governance.scans.queries.visible import check_open

EDITABLE = ("layer", "kind", "authority", "contact", "assignee", "number", "start_by", "note")
"""What is typed; states are told by days, which the steps write (``actions/asking.py``)."""

_FIXED_ONCE_GRANTED = ("layer", "kind")


def add_application(
    *, plan: FieldPlan, values: Mapping[str, Any], stops: Collection[int] = (), by: Any, why: str = ""
) -> Application:
    """Enter something to be asked for. stops: keys of stops of the plan that it is for; none: all of them.

    Raises:
        PlanError: the plan is no longer changed.
        ValidationError: a value does not hold, or a stop is of another plan.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(plan)
        _check_values(values)
        _check_stops(current, stops)
        made = Application(plan=current, all_stops=not stops, **values)
        add(made, by=by, why=why or gettext_noop("entered"))
        _set_stops(made, stops, by=by, why=why or gettext_noop("entered"))
    return made


def edit_application(
    *, application: Application, values: Mapping[str, Any], stops: Collection[int] | None = None, by: Any, why: str
) -> Application:
    """Correct what was typed. stops: None: as they are; none at all: all stops of the plan.

    Raises:
        PlanError: the plan is no longer changed; or it was granted, and its layer, kind or stops were to change.
        ValidationError: a value does not hold, or a stop is of another plan.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = held(application)
        _check_values(values)
        if current.state == Application.State.GRANTED and _changes_what_was_granted(current, values, stops):
            raise PlanError(_("It was granted: take that step back first, then change its layer, kind or stops."))
        change(current, values, editable=EDITABLE, by=by, why=why)
        if stops is not None:
            _check_stops(current.plan, stops)
            _set_stops(current, stops, by=by, why=why)
    return current


def held(application: Application) -> Application:
    """The application as it is now, with its plan locked until the transaction ends; every change begins with it.

    Raises:
        PlanError: the plan is no longer changed.
    """
    locked(application.plan)
    return Application.objects.select_for_update(of=("self",)).select_related("plan", "paper").get(pk=application.pk)


def _check_values(values: Mapping[str, Any]) -> None:
    unknown = sorted(set(values) - set(EDITABLE))
    if unknown:
        raise NotEditableError(f"not editable here: {', '.join(unknown)}; editable: {', '.join(EDITABLE)}")
    person = values.get("assignee")
    if person is not None and not may(person, Verb.PLAN_TRIPS):
        raise ValidationError({
            "assignee": _("%(person)s may not ask for papers: choose somebody who may plan trips.")
            % {"person": person.shown_name}
        })  # fmt: skip


def _check_stops(plan: FieldPlan, stops: Collection[int]) -> None:
    strange = set(stops) - set(plan.stops.values_list("pk", flat=True))
    if strange:
        raise ValidationError({"stops": _("A stop that was chosen is no longer in this plan. Choose again.")})


def _changes_what_was_granted(
    application: Application, values: Mapping[str, Any], stops: Collection[int] | None
) -> bool:
    typed = any(
        values.get(name, getattr(application, name)) != getattr(application, name) for name in _FIXED_ONCE_GRANTED
    )
    return typed or (stops is not None and set(stops) != stops_of(application))


def stops_of(application: Application) -> set[int]:
    """Keys of the stops that it names; none if it is for all."""
    return set(application.application_stops.values_list("stop_id", flat=True))


def _set_stops(application: Application, stops: Iterable[int], *, by: Any, why: str) -> None:
    wanted, standing = set(stops), {one.stop_id: one for one in application.application_stops.all()}
    for key in sorted(wanted - set(standing)):
        add(ApplicationStop(application=application, stop_id=key), by=by, why=why)
    for key in sorted(set(standing) - wanted):
        remove(standing[key], by=by, why=why)
    if application.all_stops != (not wanted):
        application.all_stops = not wanted
        record(application, by=by, why=why, fields=["all_stops"])


# Files ----------------------------------------------------------------------------------------------------------------


def add_scans(*, application: Application, drop: Drop, by: Any, why: str = "") -> list[Filed]:
    """Receive the files of a drop and keep the sound ones with the application; what became of each, in their order.

    Raises:
        NotAllowedError: the person may not add scans, or not open one that was chosen.
        PlanError: the plan is no longer changed.
    """
    check(by, Verb.ATTACH_SCANS)
    for scan in drop.scans:
        check_open(by, scan)
    results = take_in(drop=drop, by=by, why=why)
    with transaction.atomic():
        current = held(application)
        return [_keep(one, current, by, why) if isinstance(one, Arrived) else one for one in results]


def _keep(one: Arrived, application: Application, by: Any, why: str) -> Filed:
    standing = application.application_scans.filter(scan=one.scan).first()
    if standing is not None:
        said = _("It is with this application already. Nothing was changed.")
        return Filed(one.name, Outcome.ALREADY, one.scan, problem=said, key=one.key)
    add(ApplicationScan(application=application, scan=one.scan, added_by=by), by=by, why=why or gettext_noop("added"))
    said = _("Kept with the application.")
    return Filed(one.name, Outcome.FILED, one.scan, was_known=one.was_known, problem=said, key=one.key)


def take_scan_off(*, attached: ApplicationScan, by: Any, why: str) -> None:
    """Take a file off an application; the file itself stays, and so does the history.

    Raises:
        NotAllowedError: the person may not file scans, or not open this one.
        PlanError: no reason was given, or the plan is no longer changed.
    """
    check(by, Verb.ATTACH_SCANS)
    check_open(by, attached.scan)
    if not why.strip():
        raise PlanError(_("Say why it is taken off."))
    with transaction.atomic():
        held(attached.application)
        standing = ApplicationScan.objects.filter(pk=attached.pk).first()
        if standing is None:
            raise PlanError(_("It was taken off meanwhile."))
        remove(standing, by=by, why=why)
