"""Which paper speaks for which part of an accession: the rows of the matrix."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from accessions.material.models import Accession, Part, Specimen
from governance.papers.models import Paper, PaperLink, PaperVersion

WHOLE = 0
"""Stands for the whole accession where a part could stand."""


@dataclass(frozen=True)
class Box:
    """One box of the matrix. value: paper and part, as the form sends them."""

    value: str
    ticked: bool
    label: str


@dataclass(frozen=True)
class MatrixRow:
    """One paper with a box for the whole accession and for each part. narrower: its links to events and specimens."""

    paper: Paper
    boxes: tuple[Box, ...]
    narrower: int
    is_unread: bool

    @property
    def ticked(self) -> list[Box]:
        return [box for box in self.boxes if box.ticked]


def box_value(paper: int, part: int) -> str:
    """How a box is named in the form.

    >>> box_value(7, 0)
    '7:0'
    """
    return f"{paper}:{part}"


def matrix(accession: Accession, parts: Sequence[Part]) -> list[MatrixRow]:
    """The papers that speak for an accession, a part, an event or a specimen of it: four queries.

    Papers linked to all accessions or to a site have no box: they are linked elsewhere.
    """
    ticked, narrower = _ticked(accession, parts), _narrower(accession)
    papers = (
        Paper.objects.filter(pk__in={*ticked, *narrower})
        .annotate(is_read=Exists(PaperVersion.objects.filter(paper=OuterRef("pk"))))
        .order_by("reference")
    )
    return [_row(paper, parts, ticked.get(paper.pk, set()), narrower[paper.pk]) for paper in papers]


MOST_LINKS = 50


def links_through_time(accession: Accession) -> list[PaperLink]:
    """Links of an accession and its parts, those that were taken off too, the newest first: one query."""
    links = PaperLink.objects.filter(Q(accession=accession) | Q(part__accession=accession))
    return list(
        links.select_related("paper", "part", "linked_by", "unlinked_by").order_by("-linked_at", "-pk")[:MOST_LINKS]
    )


def _ticked(accession: Accession, parts: Sequence[Part]) -> dict[int, set[int]]:
    """By paper: the keys of the parts it is linked to, WHOLE for the accession."""
    found: dict[int, set[int]] = defaultdict(set)
    direct = Q(accession=accession) | Q(part__in=[part.pk for part in parts])
    for paper, part in _standing().filter(direct).values_list("paper", "part"):
        found[paper].add(part or WHOLE)
    return found


def _narrower(accession: Accession) -> Counter[int]:
    """By paper: how many links to events and specimens of the accession; two queries, each along an index."""
    found: Counter[int] = Counter()
    events = Specimen.objects.filter(accession=accession).values("event")
    for links in (_standing().filter(specimen__accession=accession), _standing().filter(event__in=events)):
        found.update(dict(links.values_list("paper").annotate(Count("pk"))))
    return found


def _standing() -> QuerySet[PaperLink]:
    return PaperLink.objects.filter(unlinked_at__isnull=True).order_by()


def _row(paper: Paper, parts: Sequence[Part], ticked: Collection[int], narrower: int) -> MatrixRow:
    columns = [(WHOLE, ""), *((part.pk, part.letter) for part in parts)]
    return MatrixRow(
        paper,
        tuple(Box(box_value(paper.pk, key), key in ticked, letter) for key, letter in columns),
        narrower=narrower,
        is_unread=not paper.is_read,  # type: ignore[attr-defined]
    )
