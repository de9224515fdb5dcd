"""Papers of the register as the engine's tables, by the same reading as a papers file."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from governance.engine.tables import Paper as EnginePaper
from governance.papers.exchange import paper_from_object
from governance.papers.models import Paper
from governance.papers.queries.exchange_objects import exchange_objects


@dataclass(frozen=True)
class HeldPaper:
    """A paper as the engine takes it, with its key in the register."""

    pk: int
    paper: EnginePaper


def held_papers(ids: Collection[int] | None = None, *, with_links: bool = True) -> list[HeldPaper]:
    """The papers that specimens are held against, in the order in which they were registered. About sixteen queries.

    A paper that was only applied for, or refused, is none of them: it allows nothing. The day of a version's start
    tells the version (two never start on one day).

    Args:
        ids: only these; None: all.
        with_links: whether ``covers`` is filled, with names as in the exchange file; ``links_of`` has them as keys.
    """
    rows = Paper.objects.order_by("pk")
    papers = list(rows if ids is None else rows.filter(pk__in=ids))
    read = [
        (paper.pk, paper_from_object(value))
        for paper, value in zip(papers, exchange_objects(papers, with_links=with_links), strict=True)
    ]
    return [HeldPaper(pk, paper) for pk, paper in read if paper is not None]


def engine_papers(ids: Collection[int] | None = None) -> list[EnginePaper]:
    """The same without their keys."""
    return [held.paper for held in held_papers(ids)]
