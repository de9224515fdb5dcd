"""What the boxes of a plan offer while a person types: sites, people, methods, countries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from accessions.material.models import SamplingEvent
from accessions.people.models import Agent
from accessions.sites.models import Site
from accessions.values import split_list
from governance.papers.countries import countries_known, country_words
from governance.papers.models import VersionWord
from governance.papers.restriction import readable
from governance.plans.models import Stop

_MOST: Final = 1000
KINGDOMS: Final = ("Animalia", "Plantae", "Fungi", "Chromista", "Protozoa", "Bacteria", "Archaea")
"""Common practice of Darwin Core data sets, no source."""


@dataclass(frozen=True)
class Offered:
    """sites: code, name, country as its box shows it. methods: words already used on events, papers and stops."""

    sites: tuple[tuple[str, str, str], ...]
    people: tuple[str, ...]
    methods: tuple[str, ...]
    countries: tuple[str, ...]
    kingdoms: tuple[str, ...] = KINGDOMS


def offered(reader: Any) -> Offered:
    """Five queries. Methods of papers that the reader may not read are not offered."""
    sites = Site.objects.values_list("code", "name", "country")[:_MOST]
    people = Agent.objects.filter(kind=Agent.Kind.PERSON).values_list("name", flat=True)[:_MOST]
    return Offered(
        sites=tuple((code, name, country_words(country)) for code, name, country in sites),
        people=tuple(dict.fromkeys(people)),
        methods=_methods(reader),
        countries=countries_known(),
    )


def only_countries() -> Offered:
    """What a page offers that asks for nothing but a country. No query."""
    return Offered((), (), (), countries_known())


def _methods(reader: Any) -> tuple[str, ...]:
    events = SamplingEvent.objects.exclude(sampling_protocol="").order_by().values_list("sampling_protocol", flat=True)
    stops = Stop.objects.exclude(methods="").order_by().values_list("methods", flat=True)
    words = readable(
        VersionWord.objects.filter(subject=VersionWord.Subject.METHODS), reader, "version__paper__"
    ).order_by()
    found: dict[str, str] = {}
    for text in (*stops.distinct()[:_MOST], *events.distinct()[:_MOST], *words.values_list("word", flat=True)[:_MOST]):
        for word in split_list(text):
            found.setdefault(word.casefold(), word)
    return tuple(sorted(found.values(), key=str.casefold))
