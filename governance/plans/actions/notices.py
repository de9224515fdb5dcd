"""Notices that were given before the first day, as papers ask: recorded, and taken off again."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add
from accessions.people.history import remove
from governance.papers.models import Paper
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import keep_version
from governance.plans.models import FieldPlan, PlanNotice, Stop


def give_notice(
    *, plan: FieldPlan, paper: Paper, given_on: date, note: str, by: Any, today: date, stop: Stop | None = None,
    seen: int | None = None,
) -> PlanNotice:  # fmt: skip
    """Record that notice was given under a paper, for the whole plan or for one stop.

    Args:
        note: to whom, and how.
        today: a notice of a later day was not given yet.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or was changed meanwhile, the day lies ahead, the stop is of another plan, or this
            notice is recorded already.
        ValidationError: nobody is named to whom it was given.
    """
    check(by, Verb.PLAN_TRIPS)
    if given_on > today:
        raise PlanError(_("This day lies ahead. Record a notice once it was given."))
    if stop is not None and stop.plan_id != plan.pk:
        raise PlanError(_("This stop is of another plan."))
    with transaction.atomic():
        current = locked(plan, seen)
        notice = PlanNotice(plan=current, stop=stop, paper=paper, given_on=given_on, note=" ".join(note.split()))
        if PlanNotice.objects.filter(plan=current, stop=stop, paper=paper, given_on=given_on).exists():
            raise PlanError(_("A notice of this day under %(paper)s is recorded already.") % {"paper": paper.reference})
        add(notice, by=by, why=gettext_noop("notice given"))
        keep_version(current, by=by, why=gettext_noop("notice given under %(paper)s") % {"paper": paper.reference})
    return notice


def take_off_notice(*, notice: PlanNotice, why: str, by: Any, seen: int | None = None) -> None:
    """Take a notice off that was not given, or was recorded wrongly; its history stays.

    Raises:
        NotAllowedError: the person may not plan trips.
        PlanError: the plan is closed or was changed meanwhile, or the notice was taken off.
    """
    check(by, Verb.PLAN_TRIPS)
    with transaction.atomic():
        current = locked(notice.plan, seen)
        if not PlanNotice.objects.filter(pk=notice.pk).exists():
            raise PlanError(_("This notice was taken off meanwhile."))
        remove(notice, by=by, why=why)
        keep_version(current, by=by, why=why)
