"""Which paper speaks for which part of an accession: the rows of the matrix."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from accessions.material.models import Accession, Part
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
    """One paper with a box for the whole accession and one for each part. narrower: links below the accession's parts."""

    paper: Paper
    boxes: tuple[Box, ...]
    narrower: int
    is_unread: bool


def box_value(paper: int, part: int) -> str:
    """How a box is named in the form.

    >>> box_value(7, 0)
    '7:0'
    """
    return f"{paper}:{part}"


def matrix(accession: Accession, parts: Sequence[Part]) -> list[MatrixRow]:
    """The papers that speak for an accession, a part, an event or a specimen of it: three queries.

    Papers linked to all accessions or to a site have no box: they are linked elsewhere.
    """
    links = _links(accession)
    papers = (
        Paper.objects.filter(pk__in=links)
        .annotate(is_read=Exists(PaperVersion.objects.filter(paper=OuterRef("pk"))))
        .order_by("reference")
    )
    return [_row(paper, parts, links[paper.pk]) for paper in papers]


def _links(accession: Accession) -> dict[int, list[int | None]]:
    """By paper: the keys of the parts, WHOLE for the accession, None for each narrower link."""
    found: dict[int, list[int | None]] = defaultdict(list)
    standing = PaperLink.objects.filter(unlinked_at__isnull=True).order_by()
    direct = Q(accession=accession) | Q(part__accession=accession)
    for paper, part in standing.filter(direct).values_list("paper", "part"):
        found[paper].append(part or WHOLE)
    narrower = Q(specimen__accession=accession) | Q(event__specimens__accession=accession)
    for paper, _link in standing.filter(narrower).values_list("paper", "pk").distinct():
        found[paper].append(None)
    return found


def _row(paper: Paper, parts: Sequence[Part], links: Sequence[int | None]) -> MatrixRow:
    columns = [(WHOLE, ""), *((part.pk, part.letter) for part in parts)]
    return MatrixRow(
        paper,
        tuple(Box(box_value(paper.pk, key), key in links, letter) for key, letter in columns),
        narrower=sum(link is None for link in links),
        is_unread=not paper.is_read,  # type: ignore[attr-defined]
    )
