"""How many specimens share a reason: the same layer, verdict, first finding and first paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.db.models import Count, Exists, OuterRef, Q

from governance.engine.tables import Layer
from governance.verdicts.models import Outcome, OutcomeFinding, OutcomePaper, Standing


def shared_by(outcomes: Sequence[Outcome], *, without: int) -> dict[Layer, int]:
    """Of each layer, how many other specimens have an outcome with the same reason. One query.

    Args:
        outcomes: at most one a layer, with their findings and papers loaded.
        without: the specimen that is not counted.
    """
    if not outcomes:
        return {}
    alike = Outcome.objects.filter(_any(_same_reason(outcome) for outcome in outcomes))
    counted = (
        Standing.objects.filter(ruling__layers__outcome__in=alike)
        .exclude(pk=without)
        .values_list("ruling__layers__layer")
        .annotate(n=Count("pk"))
    )
    return {Layer(layer): n for layer, n in counted}


def _any(conditions: Iterable[Q]) -> Q:
    found = Q()
    for condition in conditions:
        found |= condition
    return found


def _same_reason(outcome: Outcome) -> Q:
    code = next((finding.code for finding in outcome.findings.all()), "")
    paper = next((row.paper_id for row in outcome.papers.all()), None)
    finding = OutcomeFinding.objects.filter(outcome=OuterRef("pk"), position=0, code=code)
    first_paper = OutcomePaper.objects.filter(outcome=OuterRef("pk"), position=0)
    same_paper = ~Q(Exists(first_paper)) if paper is None else Q(Exists(first_paper.filter(paper=paper)))
    return Q(layer=outcome.layer, verdict=outcome.verdict) & Q(Exists(finding)) & same_paper
