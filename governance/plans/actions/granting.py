"""What was granted becomes a paper on file. Its terms are not read yet, so that it covers nothing on a guess."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.engine.tables import Layer
from governance.papers.actions import register
from governance.papers.actions.scans import file_scan
from governance.papers.columns import Object
from governance.papers.models import LAYER_NAMES, Paper
from governance.papers.restriction import check_readable
from governance.plans.actions.asking import State, grant_mark, in_state, not_before_asking, not_to_come
from governance.plans.actions.attaching import attach
from governance.plans.actions.locking import PlanError
from governance.plans.models import Application, PlanPaper, Stop
from governance.scans.queries.visible import may_open


def grant(
    *, application: Application, on: date, paper: Paper | None = None, data: Object | None = None, by: Any,
    why: str = "",
) -> Application:  # fmt: skip
    """It was granted: by a paper on file, or by one that is registered now, without a version.

    The files of the application that the person may open are filed with the paper, and it is linked to the stops
    that were asked for.

    Args:
        data: the face of the new paper, as keys of the exchange file.

    Raises:
        PlanError: it has its answer already, its stops are no longer in the plan, or the plan is no longer changed.
        ValidationError: the day is still to come or before that of asking, or the paper is of other layers.
        RestrictedPaperError: what is in the paper is not for this person.
        FileProblems: the face of the new paper does not hold.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = in_state(application, State.TO_ASK, State.ASKED, State.PROMISED)
        not_to_come("granted_on", on)
        not_before_asking(current, "granted_on", on)
        places = _places(current)
        granted = _paper(current, paper, data, by=by, why=why or gettext_noop("granted"))
        for attached in current.application_scans.select_related("scan"):
            if may_open(by, attached.scan):
                file_scan(paper=granted, scan=attached.scan, by=by, why=why or gettext_noop("of its application"))
        current.granted_on, current.paper = on, granted
        current.full_clean()
        record(current, by=by, why=why or gettext_noop("granted"), fields=["granted_on", "paper"])
        for stop in places:
            if not _is_attached(current, stop):
                attach(
                    plan=current.plan,
                    stop=stop,
                    paper=granted,
                    by=by,
                    why=f"{grant_mark(current)}{gettext_noop('granted')}",
                )
    return current


def _places(application: Application) -> list[Stop | None]:
    """The stops to which the paper is linked; None is the whole plan."""
    if application.all_stops:
        return [None]
    stops: list[Stop | None] = [one.stop for one in application.application_stops.select_related("stop")]
    if not stops:
        raise PlanError(
            _("The stops that it was for were taken out of the plan. Change it first: say for which it is.")
        )
    return stops


def _is_attached(application: Application, stop: Stop | None) -> bool:
    rows = PlanPaper.objects.filter(plan=application.plan, paper=application.paper, unlinked_at__isnull=True)
    return rows.filter(stop=stop).exists()


def _paper(application: Application, paper: Paper | None, data: Object | None, *, by: Any, why: str) -> Paper:
    if (paper is None) == (data is None):
        raise ValueError("either a paper on file or the face of a new one")
    layers = paper.layer_list if paper else [Layer.from_code(code) for code in (data or {}).get("layers") or ()]
    if application.layer not in layers:
        raise ValidationError({"paper" if paper else "layers": _other_layers(application, layers)})
    if paper is None:
        return register(data={**(data or {}), "versions": []}, by=by, why=why)
    check_readable(paper, by)
    return paper


def _other_layers(application: Application, layers: list[Layer]) -> str:
    """Why a paper cannot be what was granted."""
    found = ", ".join(str(LAYER_NAMES[layer]) for layer in layers) or _("no layer")
    words = _("It answers %(found)s, and %(wanted)s was asked for. Tick that layer, or choose another paper.")
    return words % {"found": found, "wanted": LAYER_NAMES[Layer(application.layer)]}
