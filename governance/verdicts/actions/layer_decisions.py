"""Decisions that a layer needs no paper, for an accession or one part of it: made and withdrawn, never erased.

A decision goes to the engine as a fact (the contract, section 7.1): the verdict is then "not required", unless a paper
covers. To decide beside a verdict of one specimen is another thing (``overrides``).
"""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.material.models import Accession, Part
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.engine.tables import Layer
from governance.verdicts.actions.overrides import OverrideError, sentence
from governance.verdicts.models import LayerDecision


class DecisionError(Exception):
    """A decision that cannot be made or withdrawn, with the reason in words."""


def decide(
    *, accession: Accession, part: Part | None = None, layer: Layer, reason: str, evidence: str, by: Any
) -> LayerDecision:
    """Decide that the layer needs no paper, for the whole accession or for the part alone.

    Args:
        reason: at least a sentence.
        evidence: by what that is shown: a letter, a rule, a field book, with its day and place.

    Raises:
        NotAllowedError: the person may not decide.
        DecisionError: the reason is no sentence, no evidence is given, the part is of another accession, or a decision
            stands already.
    """
    check(by, Verb.DECIDE)
    reason, evidence = _sentence(reason), " ".join(evidence.split())
    if not evidence:
        raise DecisionError(_("Say what shows it: a letter, a rule, a field book, with its day and where it is kept."))
    if part is not None and part.accession_id != accession.pk:
        raise DecisionError(_("This part is of another accession."))
    decision = LayerDecision(
        accession=accession, part=part, layer=int(layer), reason=reason, evidence=evidence, decided_by=by
    )
    try:
        with transaction.atomic():
            decision.validate_constraints()
            record(decision, by=by, why=reason)
            _touch(decision, by=by, why=gettext_noop("decided: no paper required"))
    except (ValidationError, IntegrityError):
        raise DecisionError(
            _("A decision for this layer stands already. Withdraw it first, then decide anew.")
        ) from None
    return decision


def withdraw_decision(*, decision: LayerDecision, reason: str, by: Any) -> LayerDecision:
    """Take a decision back: the layer counts as its rules and papers say again. The decision stays in the record.

    Raises:
        NotAllowedError: the person may not decide.
        DecisionError: it was withdrawn already, or the reason is no sentence.
    """
    check(by, Verb.DECIDE)
    reason = _sentence(reason)
    with transaction.atomic():
        current = LayerDecision.objects.select_for_update().get(pk=decision.pk)
        if current.withdrawn_at is not None:
            raise DecisionError(_("This decision was withdrawn already."))
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, reason
        record(current, by=by, why=reason, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
        _touch(current, by=by, why=gettext_noop("decision withdrawn"))
    return current


def _sentence(text: str) -> str:
    try:
        return sentence(text)
    except OverrideError as problem:
        raise DecisionError(str(problem)) from None


def _touch(decision: LayerDecision, *, by: Any, why: str) -> None:
    if decision.part_id is None:
        touch(Scope.ACCESSION, [decision.accession_id], by=by, why=why)
    else:
        touch(Scope.PART, [decision.part_id], by=by, why=why)
