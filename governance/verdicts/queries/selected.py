"""What a set of chosen specimens is of: accessions, their parts, and what a paper already speaks for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Count

from accessions.material.models import Accession, Part, Specimen
from governance.papers.models import Paper
from governance.papers.queries.links import links_of

KEYS_AT_ONCE = 2_000


@dataclass(frozen=True)
class Holding:
    """An accession, or one part of it, with how many specimens were chosen of it and how many it has."""

    accession: Accession
    part: Part | None
    chosen: int
    total: int

    @property
    def is_whole(self) -> bool:
        return self.chosen == self.total


def holdings_of(keys: Sequence[int]) -> list[Holding]:
    """The accessions and parts of these specimens, by number. Three queries, and one for each 2,000 specimens."""
    chosen: dict[tuple[int, int | None], int] = {}
    for some in slices(keys):
        counted = Specimen.objects.filter(pk__in=some).values_list("accession", "part").annotate(n=Count("pk"))
        for accession, part, n in counted.order_by():
            chosen[accession, part] = chosen.get((accession, part), 0) + n
    accessions = Accession.objects.in_bulk({accession for accession, _ in chosen})
    parts = Part.objects.in_bulk({part for _, part in chosen if part})
    totals = _totals(list(accessions))
    found = [
        Holding(accessions[accession], parts.get(part or 0), n, totals[accession, part])
        for (accession, part), n in chosen.items()
    ]
    return sorted(found, key=lambda h: (h.accession.number, h.part.letter if h.part else ""))


def _totals(accessions: Sequence[int]) -> dict[tuple[int, int | None], int]:
    counted = Specimen.objects.filter(accession__in=accessions).values_list("accession", "part")
    return {(accession, part): n for accession, part, n in counted.annotate(n=Count("pk")).order_by()}


def linked_already(paper: Paper, keys: Sequence[int]) -> int:
    """How many of these specimens the paper names itself."""
    links = links_of([paper]).get(paper.pk)
    return len(links.specimens.intersection(keys)) if links else 0


def slices(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    """The keys in pieces that a statement can hold."""
    for first in range(0, len(keys), KEYS_AT_ONCE):
        yield keys[first : first + KEYS_AT_ONCE]
