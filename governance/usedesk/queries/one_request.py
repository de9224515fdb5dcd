"""How one request stands: its counts, decisions and questions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Count, F, Q

from governance.engine.tables import Layer
from governance.papers.models import Paper
from governance.papers.restriction import is_readable, readable
from governance.usedesk.models import ProviderQuestion, RequestDecision, RequestItem, UseRequest, WayDecision

_MOST_PAPERS: Final = 200


@dataclass(frozen=True)
class Summary:
    """specimens, undecided, approved, declined: of the basket. standing: decisions that were not withdrawn."""

    specimens: int
    undecided: int
    approved: int
    declined: int
    standing: int


def summary(request: UseRequest) -> Summary:
    """Two queries."""
    found = RequestItem.objects.filter(request=request).aggregate(
        specimens=Count("pk"), undecided=Count("pk", filter=Q(decision__isnull=True)),
        approved=Count("pk", filter=Q(decision__is_approved=True)),
        declined=Count("pk", filter=Q(decision__is_approved=False)),
    )  # fmt: skip
    return Summary(**found, standing=RequestDecision.objects.filter(request=request, withdrawn_at__isnull=True).count())


def decisions_of(request: UseRequest) -> list[Any]:
    """Decisions of a request, newest first, each with ``item_count``; withdrawn ones among them."""
    rows = RequestDecision.objects.filter(request=request).select_related("decided_by", "withdrawn_by")
    return list(rows.annotate(item_count=Count("items")).order_by("-decided_at", "-pk"))


def questions_of(request: UseRequest, reader: Any) -> list[tuple[ProviderQuestion, bool]]:
    """Questions to providers, each with whether the reader may read what it says."""
    rows = ProviderQuestion.objects.filter(request=request).select_related("paper", "recorded_by", "request")
    return [(one, is_readable(one.paper, reader)) for one in rows]


def way_decisions_of(request: UseRequest) -> list[WayDecision]:
    """Decisions on the way there, those that stand first."""
    rows = WayDecision.objects.filter(request=request).select_related("paper", "decided_by", "withdrawn_by")
    return sorted(rows, key=lambda one: (one.withdrawn_at is not None, one.layer))


def papers_of_layer(layer: Layer, reader: Any) -> list[Paper]:
    """Papers on file that answer a layer and that a person may read, the newest first: what a box offers."""
    rows = Paper.objects.annotate(bits=F("layers").bitand(1 << layer)).filter(bits__gt=0)
    return list(readable(rows, reader).order_by("-pk")[:_MOST_PAPERS])
