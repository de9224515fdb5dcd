"""A person's decision beside the computed verdict of a layer: made and withdrawn with a reason, never erased."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.engine.tables import Layer, Verdict
from governance.verdicts.models import HouseRuleSet, Override, Standing
from governance.verdicts.standing_columns import fill_columns

SHORTEST_REASON = 12
"""Letters: less is no sentence."""


class OverrideError(Exception):
    """A decision that cannot be made or withdrawn, with the reason in words."""


def overrule(
    *, specimen: Specimen, layer: Layer, decided: Verdict, reason: str, by: Any, expected: int | None = None
) -> Override:
    """Decide beside the computed verdict of a layer. The computed one stays and stays visible; where the house rules
    ask for a second person it counts until one agrees.

    Args:
        reason: at least a sentence.
        expected: the computed verdict that the person saw; another one now is an error, so that nobody decides beside
            a verdict that they did not see.

    Raises:
        NotAllowedError: the person may not overrule.
        OverrideError: there is no verdict, it changed meanwhile, it is the decided one already, a decision stands, or
            the reason is no sentence.
    """
    check(by, Verb.OVERRULE)
    reason = sentence(reason)
    with transaction.atomic():
        computed = _computed(specimen, layer)
        _check_decision(specimen, layer, computed, decided, expected)
        override = Override(
            specimen=specimen, layer=int(layer), computed=computed, decided=int(decided), reason=reason, decided_by=by,
            needs_review=HouseRuleSet.objects.filter(overrides_need_review=True).exists(),
        )  # fmt: skip
        record(override, by=by, why=reason)
        _refresh(specimen)
    return override


def withdraw(*, override: Override, reason: str, by: Any) -> Override:
    """Take a decision back: the computed verdict counts again. The decision stays in the record.

    Raises:
        NotAllowedError: the person may not overrule.
        OverrideError: it was withdrawn already, or the reason is no sentence.
    """
    check(by, Verb.OVERRULE)
    reason = sentence(reason)
    with transaction.atomic():
        current = Override.objects.select_for_update().get(pk=override.pk)
        if current.withdrawn_at is not None:
            raise OverrideError(_("This decision was withdrawn already."))
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, reason
        record(current, by=by, why=reason, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
        _refresh(current.specimen)
    return current


def sentence(reason: str) -> str:
    """A reason on one line.

    Raises:
        OverrideError: it is no sentence.
    """
    text = " ".join(reason.split())
    if len(text) < SHORTEST_REASON or " " not in text:
        raise OverrideError(
            _("The reason is too short. Write at least a sentence: whoever reads it in ten years was not there.")
        )
    return text


def _computed(specimen: Specimen, layer: Layer) -> int:
    """What stands computed for the layer; the row is held until the decision is written."""
    standing = Standing.objects.select_for_update(of=("self",)).select_related("ruling").filter(pk=specimen.pk).first()
    if standing is None:
        raise OverrideError(_("There is no verdict yet that could be decided beside."))
    return int(standing.ruling.strip[layer])


def _check_decision(specimen: Specimen, layer: Layer, computed: int, decided: Verdict, expected: int | None) -> None:
    if expected is not None and expected != computed:
        raise OverrideError(_("The computed verdict changed while you were deciding. Please look at it again."))
    if computed == decided:
        raise OverrideError(_("The computed verdict is the same already; there is nothing to decide."))
    if Override.objects.filter(specimen=specimen, layer=int(layer), withdrawn_at__isnull=True).exists():
        raise OverrideError(_("Another decision stands for this layer; withdraw it first."))


def _refresh(specimen: Specimen) -> None:
    """Lists show the decided verdict at once."""
    fill_columns("SELECT id FROM material_specimen WHERE id = %s", [specimen.pk])
