"""What is asked for a stop alone, when the stop goes: nothing that is under way is quietly made to mean all stops."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.history import record, remove
from governance.plans.actions.locking import PlanError
from governance.plans.models import Stop
from governance.plans.queries.asked_alone import applications_for_alone, is_under_way


def let_go(stop: Stop, *, by: Any, why: str) -> None:
    """Take a stop off the applications that name it.

    An application that names no stop is for all of them. So one that is still under way for this stop alone stands in
    the way; one that has ended keeps a note of the stop that it was for.

    Raises:
        PlanError: a paper is being asked for this stop alone.
    """
    alone = applications_for_alone(stop)
    if under_way := [one for one in alone if is_under_way(one)]:
        asked = ", ".join(str(one.get_kind_display()) for one in under_way)
        raise PlanError(
            _("For %(stop)s alone this is being asked: %(asked)s. Give it up or let it name other stops first.")
            % {"stop": stop.name, "asked": asked}
        )
    for one in alone:
        told = gettext_noop("It was for the stop %(stop)s, which was removed from the plan.") % {"stop": stop.name}
        one.note = f"{one.note}\n{told}".strip()
        record(one, by=by, why=why, fields=["note"])
    for link in stop.application_stops.all():
        remove(link, by=by, why=why)
