"""Of what may be asked what became of it: specimens, accessions, sites, agents and countries by their names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Q

from accessions.material.models import Accession, SamplingEvent, Specimen
from accessions.people.models import Agent
from accessions.people.name_keys import fold_name
from accessions.sites.keys import folded
from accessions.sites.models import Site
from governance.jurisdictions.codes import is_country
from governance.papers.countries import country_name

MOST: Final = 10
"""Rows of each kind that a search shows."""


@dataclass(frozen=True)
class Found:
    """What a search found; of each kind the first ``MOST``. countries: codes with names."""

    specimens: list[Specimen]
    accessions: list[Accession]
    sites: list[Site]
    agents: list[Agent]
    countries: list[tuple[str, str]]

    @property
    def is_empty(self) -> bool:
        return not any((self.specimens, self.accessions, self.sites, self.agents, self.countries))


def found(q: str) -> Found:
    """What has these words in its number or name: five queries, none without words."""
    words = " ".join(q.split())
    if not words:
        return Found([], [], [], [], [])
    site = Q(code__icontains=words) | Q(name__icontains=words) | Q(name_key__contains=folded(words))
    return Found(
        specimens=list(Specimen.objects.select_related("name").filter(catalog_number__iexact=words)[:MOST]),
        accessions=list(Accession.objects.filter(Q(number__icontains=words) | Q(title__icontains=words))[:MOST]),
        sites=list(Site.objects.filter(site)[:MOST]),
        agents=_agents(words),
        countries=[one for one in countries() if words.upper() == one[0] or folded(words) in folded(one[1])][:MOST],
    )


def _agents(words: str) -> list[Agent]:
    key = fold_name(words)
    named = Q(name__icontains=words) | (Q(names__key=key) if key else Q())
    return list(Agent.objects.filter(named).distinct()[:MOST])


def countries() -> list[tuple[str, Any]]:
    """Countries in which something was taken, by name: one query."""
    codes = SamplingEvent.objects.exclude(country="").order_by().values_list("country", flat=True).distinct()
    named = [(code, country_name(code)) for code in codes if is_country(code)]
    return sorted(named, key=lambda one: one[1])
