"""The matrix of an accession saved: papers linked to parts, and taken off."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from accessions.material.models import Accession
from accessions.people.access import Verb, check
from governance.papers.actions.linking import Targets, link, unlink
from governance.papers.models import Paper, PaperLink
from governance.verdicts.queries.accession_papers import WHOLE

Box = tuple[int, int]
"""Primary keys of a paper and a part; ``WHOLE`` for the whole accession."""


@dataclass(frozen=True)
class Saved:
    """What saving the matrix did: references of papers, with the letter of the part ("" for the whole accession)."""

    linked: tuple[tuple[str, str], ...]
    unlinked: tuple[tuple[str, str], ...]


def cover_parts(
    accession: Accession, *, ticked: Collection[Box], were_ticked: Collection[Box], by: Any, why: str
) -> Saved:
    """Link what was ticked and take off what was unticked, all or nothing.

    Only boxes that this person changed are touched: what somebody else linked meanwhile stays. Boxes of papers or parts
    that are not there, or are of another accession, are passed over.

    Args:
        were_ticked: the boxes that were ticked on the page that the person saw.
    """
    check(by, Verb.LINK_PAPERS)
    letters = {WHOLE: "", **dict(accession.parts.values_list("pk", "letter"))}
    wanted = {box for box in set(ticked) - set(were_ticked) if box[1] in letters}
    unwanted = {box for box in set(were_ticked) - set(ticked) if box[1] in letters}
    papers = Paper.objects.in_bulk({paper for paper, _part in wanted | unwanted})
    with transaction.atomic():
        linked = [
            box for box in sorted(wanted) if box[0] in papers and _link(accession, papers[box[0]], box[1], by, why)
        ]
        off = [
            box for box in sorted(unwanted) if box[0] in papers and _unlink(accession, papers[box[0]], box[1], by, why)
        ]
    return Saved(*(tuple((papers[paper].reference, letters[part]) for paper, part in boxes) for boxes in (linked, off)))


def _link(accession: Accession, paper: Paper, part: int, by: Any, why: str) -> int:
    targets = Targets(accessions=[accession.pk]) if part == WHOLE else Targets(parts=[part])
    return link(paper=paper, targets=targets, by=by, why=why)


def _unlink(accession: Accession, paper: Paper, part: int, by: Any, why: str) -> int:
    target = {"accession": accession} if part == WHOLE else {"part": part}
    links = PaperLink.objects.filter(paper=paper, unlinked_at__isnull=True, **target).values_list("pk", flat=True)
    return unlink(paper=paper, links=links, by=by, why=why)
