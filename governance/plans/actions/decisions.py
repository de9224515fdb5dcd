"""Decisions that a layer of a plan or of one stop needs no paper: made and withdrawn, never erased."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.engine.tables import Layer
from governance.plans.actions.locking import PlanError, locked
from governance.plans.actions.versions import keep_version
from governance.plans.models import FieldPlan, PlanDecision, Stop
from governance.verdicts.actions.overrides import OverrideError, sentence


def decide(
    *, plan: FieldPlan, layer: Layer, stop: Stop | None = None, reason: str, evidence: str, by: Any,
    seen: int | None = None,
) -> PlanDecision:  # fmt: skip
    """Decide that the layer needs no paper, for the whole plan or for one stop.

    Args:
        reason: at least a sentence.
        evidence: by what that is shown: a letter, a rule, with its day and place.

    Raises:
        NotAllowedError: the person may not decide.
        PlanError: the reason is no sentence, no evidence is given, the stop is of another plan, or a decision stands.
    """
    check(by, Verb.DECIDE)
    reason, evidence = _sentence(reason), " ".join(evidence.split())
    if not evidence:
        raise PlanError(_("Say what shows it: a letter, a rule, a field book, with its day and where it is kept."))
    try:
        with transaction.atomic():
            plan = locked(plan, seen)
            if stop is not None and stop.plan_id != plan.pk:
                raise PlanError(_("This stop is of another plan."))
            made = PlanDecision(plan=plan, stop=stop, layer=int(layer), reason=reason, evidence=evidence, decided_by=by)
            made.validate_constraints()
            record(made, by=by, why=reason)
            keep_version(plan, by=by, why=reason)
    except (ValidationError, IntegrityError):
        raise PlanError(_("A decision for this layer stands already. Withdraw it first, then decide anew.")) from None
    return made


def withdraw_decision(*, decision: PlanDecision, reason: str, by: Any, seen: int | None = None) -> PlanDecision:
    """Take a decision back: the layer counts as its rules and papers say again. The decision stays in the record.

    Raises:
        NotAllowedError: the person may not decide.
        PlanError: it was withdrawn already, the plan is no longer changed, or the reason is no sentence.
    """
    check(by, Verb.DECIDE)
    reason = _sentence(reason)
    with transaction.atomic():
        plan = locked(decision.plan, seen)
        current = PlanDecision.objects.select_for_update().get(pk=decision.pk)
        if current.withdrawn_at is not None:
            raise PlanError(_("This decision was withdrawn already."))
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, reason
        record(current, by=by, why=reason, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
        keep_version(plan, by=by, why=reason)
    return current


def _sentence(text: str) -> str:
    try:
        return sentence(text)
    except OverrideError as problem:
        raise PlanError(str(problem)) from None
