"""The label of the scientific exchange of a request, and what is seen of its five conditions."""

from __future__ import annotations

from governance.engine.uses import Tri
from governance.papers.models import Paper, PaperKind
from governance.usedesk.exchange import Condition, conditions, strictest
from governance.usedesk.models import DeskRules, ExchangeLabel, UseRequest


def label_of(request: UseRequest) -> ExchangeLabel | None:
    """The label that is recorded; one query."""
    return ExchangeLabel.objects.select_related("scan", "paper").filter(request=request).first()


def exchange_conditions(
    request: UseRequest, label: ExchangeLabel | None, rules: DeskRules | None
) -> tuple[Condition, ...]:
    """The five conditions, from what is on file of the request, the house and the recipient."""
    return conditions(label, sender=rules, recipient=request.recipient, commercial=request.commercial)


def exchange_holds(request: UseRequest) -> Tri:
    """Whether a label of this request counts: YES only if all five conditions are seen to hold."""
    seen = exchange_conditions(request, label_of(request), DeskRules.objects.filter(pk=1).first())
    return strictest(iter([one.met for one in seen]))


def exchange_papers() -> list[Paper]:
    """Labels that are registered as papers, the newest first; their existence shows to all."""
    return list(Paper.objects.filter(kind=PaperKind.CITES_EXCHANGE_LABEL).only("reference").order_by("-pk")[:500])
