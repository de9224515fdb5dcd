"""Papers linked to a plan or to one of its stops, and taken off again. The rows are dated; none is deleted."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from governance.papers.models import Paper
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import keep_version
from governance.plans.models import FieldPlan, PlanPaper, Stop


def attach(
    *, plan: FieldPlan, paper: Paper, stop: Stop | None = None, by: Any, why: str, seen: int | None = None
) -> PlanPaper:
    """Link a paper to the plan, or to one stop of it alone.

    Raises:
        NotAllowedError: the person may not link papers.
        PlanError: the plan is no longer changed, the stop is of another plan, or the paper is linked already.
    """
    check(by, Verb.LINK_PAPERS)
    try:
        with transaction.atomic():
            plan = locked(plan, seen)
            if stop is not None and stop.plan_id != plan.pk:
                raise PlanError(_("This stop is of another plan."))
            made = PlanPaper(plan=plan, stop=stop, paper=paper, linked_by=by, why=why[:200])
            made.validate_constraints()
            made.save()
            keep_version(plan, by=by, why=why or gettext_noop("%(paper)s linked") % {"paper": paper.reference})
    except ValidationError as problem:
        raise PlanError(" ".join(problem.messages)) from None
    except IntegrityError:
        raise PlanError(_("The paper is already linked.")) from None
    return made


def take_off(*, plan_paper: PlanPaper, by: Any, why: str, seen: int | None = None) -> PlanPaper:
    """End a link: the paper no longer speaks by it. That it did stays in the record.

    Raises:
        NotAllowedError: the person may not link papers.
        PlanError: the plan is no longer changed, no reason is given, or the paper was taken off already.
    """
    check(by, Verb.LINK_PAPERS)
    why = " ".join(why.split())
    if not why:
        raise PlanError(_("Say why the paper is taken off."))
    with transaction.atomic():
        plan = locked(plan_paper.plan, seen)
        current = PlanPaper.objects.select_for_update().get(pk=plan_paper.pk)
        if current.unlinked_at is not None:
            raise PlanError(_("This paper was taken off already."))
        current.unlinked_at, current.unlinked_by, current.unlinked_why = timezone.now(), by, why[:200]
        current.save(update_fields=["unlinked_at", "unlinked_by", "unlinked_why"])
        keep_version(plan, by=by, why=why)
    return current
