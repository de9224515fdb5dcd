"""The plan on the page of its accession, which knows no plans: ``{% load plan_of %}{% plan_of accession %}``."""

from __future__ import annotations

from typing import Any

from django import template

from accessions.material.models import Accession
from governance.plans.models import FieldPlan

register = template.Library()


@register.inclusion_tag("plans/_plan_of.html")
def plan_of(accession: Accession) -> dict[str, Any]:
    """A small panel: the plan that became this accession, and the way to the comparison; nothing without a plan."""
    return {"plan": FieldPlan.objects.filter(accession=accession).first()}
