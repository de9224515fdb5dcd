"""Decisions that no paper is required: those that stand, and those that were withdrawn."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from accessions.material.models import Accession, Specimen
from governance.engine.tables import Layer
from governance.verdicts.models import LayerDecision


def standing_decisions(accession: Accession, layer: Layer) -> QuerySet[LayerDecision]:
    """Of the accession and its parts, for one layer."""
    return _with_people().filter(accession=accession, layer=int(layer), withdrawn_at__isnull=True)


def decisions_of(specimen: Specimen) -> list[LayerDecision]:
    """All that speak for a specimen, or did before they were withdrawn; the newest first. One query."""
    scope = Q(part__isnull=True) | Q(part=specimen.part_id) if specimen.part_id else Q(part__isnull=True)
    return list(_with_people().filter(scope, accession=specimen.accession_id).order_by("-decided_at", "-pk"))


def by_layer(decisions: Iterable[LayerDecision]) -> dict[int, LayerDecision]:
    """The decision that stands for each layer; that of the part before that of the whole accession."""
    standing = [decision for decision in decisions if decision.withdrawn_at is None]
    return {decision.layer: decision for decision in sorted(standing, key=lambda d: d.part_id is not None)}


def _with_people() -> QuerySet[LayerDecision]:
    return LayerDecision.objects.select_related("part", "decided_by", "withdrawn_by")
