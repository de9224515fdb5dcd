"""Decisions on the way there: that export, import or CITES asks for no paper, or which paper is held."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES, Paper
from governance.papers.restriction import check_readable
from governance.usedesk.actions.errors import DeskError, reasoned
from governance.usedesk.actions.locking import held
from governance.usedesk.models import RequestDecision, UseRequest, WayDecision


def decide_way(
    *, request: UseRequest, layer: Layer, paper: Paper | None = None, reason: str, evidence: str, by: Any
) -> WayDecision:
    """Decide of one paper of the way there; paper: the one that is held; None: none is needed.

    Raises:
        DeskError: the request is closed or answered, a decision stands, the paper is of other layers, the reason is no
            sentence, or no evidence is given.
        RestrictedPaperError: what is in the paper is not for this person.
    """
    check(by, Verb.APPROVE_USES)
    if layer not in WayDecision.WAY_LAYERS:
        raise ValueError(f"{layer} is no layer of the way there")
    if paper is not None:
        check_readable(paper, by)
        if layer not in paper.layer_list:
            words = _("%(paper)s does not answer %(layer)s. Choose another, or tick that layer on the paper.")
            raise DeskError(words % {"paper": paper.reference, "layer": LAYER_NAMES[layer]})
    reason, evidence = reasoned(reason), " ".join(evidence.split())
    if not evidence:
        raise DeskError(_("Say what shows it: a law, a letter, a permit, with its day and where it is kept."))
    with transaction.atomic():
        current = held(request)
        made = WayDecision(
            request=current, layer=int(layer), paper=paper, reason=reason, evidence=evidence, decided_by=by
        )
        try:
            made.full_clean()
        except ValidationError as problem:
            raise DeskError(" ".join(problem.messages)) from None
        record(made, by=by, why=reason)
    return made


def withdraw_way(*, decision: WayDecision, reason: str, by: Any) -> WayDecision:
    """Take a decision on the way back. It stays in the record.

    Raises:
        DeskError: it was withdrawn already, approvals stand that were made with it, or the reason is no sentence.
    """
    check(by, Verb.APPROVE_USES)
    reason = reasoned(reason)
    with transaction.atomic():
        request = held(decision.request)
        current = WayDecision.objects.select_for_update().get(pk=decision.pk)
        if current.withdrawn_at is not None:
            raise DeskError(_("This decision was withdrawn already."))
        _refuse_where_approved(request)
        current.withdrawn_at, current.withdrawn_by, current.withdrawn_reason = timezone.now(), by, reason
        record(current, by=by, why=reason, fields=["withdrawn_at", "withdrawn_by", "withdrawn_reason"])
    return current


def _refuse_where_approved(request: UseRequest) -> None:
    """That no paper is needed leaves no trace among the reasons of an approval, so any approval may rest on it."""
    count = RequestDecision.objects.filter(request=request, is_approved=True, withdrawn_at__isnull=True).count()
    if count:
        words = ngettext(
            "%(n)d approval stands that was given with it. Withdraw the approval first.",
            "%(n)d approvals stand that were given with it. Withdraw those first.",
            count,
        )
        raise DeskError(words % {"n": count})
