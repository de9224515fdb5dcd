"""What of an accession a paper can be linked to: the whole, its parts, the sites and events of its specimens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Min

from accessions.material.models import Accession, Part, SamplingEvent, Specimen
from accessions.sites.models import Site
from governance.papers.models import Paper
from governance.papers.queries.links import Links, links_of

_MOST = 300


@dataclass(frozen=True)
class Choice:
    """One box to tick. value: ``parts:12``. is_linked: the paper is linked to it already."""

    value: str
    label: str
    sub: str
    specimens: int
    is_linked: bool


@dataclass(frozen=True)
class Linkable:
    """The boxes of one accession by heading."""

    accession: Accession
    whole: Choice
    parts: Sequence[Choice]
    sites: Sequence[Choice]
    events: Sequence[Choice]
    more_events: int

    @property
    def values(self) -> list[str]:
        return [choice.value for choice in (self.whole, *self.parts, *self.sites, *self.events)]


def linkable(paper: Paper | None, accession: Accession) -> Linkable:
    """Five queries for an accession of any size. paper None: not chosen yet, so that nothing is linked to it."""
    has = links_of([paper]).get(paper.pk, Links()) if paper else Links()
    specimens = Specimen.objects.filter(accession=accession).order_by()
    by_part = dict(specimens.values_list("part_id").annotate(n=Count("pk")))
    parts = [
        Choice(f"parts:{p.pk}", p.letter, p.title, by_part.get(p.pk, 0), p.pk in has.parts)
        for p in Part.objects.filter(accession=accession)
    ]
    whole = Choice(
        f"accessions:{accession.pk}", accession.number, accession.title, sum(by_part.values()),
        accession.pk in has.accessions,
    )  # fmt: skip
    events, more = _events(accession, has)
    return Linkable(accession, whole, parts, _sites(accession, has), events, more)


def _sites(accession: Accession, has: Links) -> list[Choice]:
    counted = (
        Site.objects.filter(events__specimens__accession=accession)
        .annotate(n=Count("events__specimens"))
        .values_list("pk", "code", "name", "n")[:_MOST]
    )
    return [Choice(f"sites:{pk}", code, name, n, pk in has.sites) for pk, code, name, n in counted]


def _events(accession: Accession, has: Links) -> tuple[list[Choice], int]:
    """Events by number: statements that differ under one number are one event."""
    rows = (
        SamplingEvent.objects.filter(specimens__accession=accession)
        .exclude(number="")
        .order_by("number")
        .values("number")
        .annotate(first=Min("pk"), n=Count("specimens"), day=Min("earliest_on"), locality=Min("locality"))
    )
    total = rows.count()
    linked = set(SamplingEvent.objects.filter(pk__in=has.events).values_list("number", flat=True))
    choices = [
        Choice(
            f"events:{row['first']}", row["number"], f"{row['day'] or ''} {row['locality'][:60]}".strip(), row["n"],
            row["number"] in linked,
        )
        for row in rows[:_MOST]
    ]  # fmt: skip
    return choices, max(0, total - _MOST)
