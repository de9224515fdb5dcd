"""Papers linked to what they speak for, and taken off again. Links are dated and never deleted."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.announcing import announce
from governance.papers.models import Paper, PaperLink
from governance.papers.queries.links import Links, links_of, standing

_BATCH_ROWS = 5000


@dataclass(frozen=True)
class Targets:
    """What is to be linked, as primary keys."""

    all_accessions: bool = False
    accessions: Collection[int] = ()
    parts: Collection[int] = ()
    sites: Collection[int] = ()
    events: Collection[int] = ()
    specimens: Collection[int] = ()

    def __bool__(self) -> bool:
        return self.all_accessions or any((self.accessions, self.parts, self.sites, self.events, self.specimens))


def link(*, paper: Paper, targets: Targets, by: Any, why: str) -> int:
    """Link a paper; how many links are new. What is linked already is left as it is.

    Many specimens cost as few inserts as the database takes values in one.
    """
    check(by, Verb.LINK_PAPERS)
    with transaction.atomic():
        Paper.objects.select_for_update().get(pk=paper.pk)
        made = add_links(paper, targets, by=by, why=why)
        if made:
            touch(Scope.PAPER, [paper.pk], by=by, why=why)
    return made


def unlink(*, paper: Paper, links: Iterable[int], by: Any, why: str) -> int:
    """Take links of this paper off, by their keys; how many were standing. They stay in the register with both days."""
    check(by, Verb.LINK_PAPERS)
    with transaction.atomic():
        Paper.objects.select_for_update().get(pk=paper.pk)
        ended = end_links(paper, links, by=by, why=why)
        if ended:
            touch(Scope.PAPER, [paper.pk], by=by, why=why)
    return ended


def add_links(paper: Paper, targets: Targets, *, by: Any, why: str) -> int:
    """The links themselves, inside the transaction of an action; no touch."""
    if not targets:
        return 0
    rows = new_links(paper, targets, links_of([paper]).get(paper.pk, Links()), by=by, why=why)
    create_links(rows, by=by)
    return len(rows)


def create_links(rows: list[PaperLink], *, by: Any) -> None:
    """New links, set by set; they keep no history and are sealed as they stand."""
    made = PaperLink.objects.bulk_create(rows, batch_size=_BATCH_ROWS)
    announce(PaperLink, [row.pk for row in made], by=by)


def new_links(paper: Paper, targets: Targets, has: Links, *, by: Any, why: str) -> list[PaperLink]:
    """The rows that are missing, not saved."""
    rows = [
        PaperLink(paper=paper, linked_by=by, why=why[:200], **{f"{kind}_id": key})
        for kind, wanted, known in (
            ("accession", targets.accessions, has.accessions),
            ("part", targets.parts, has.parts),
            ("site", targets.sites, has.sites),
            ("event", targets.events, has.events),
            ("specimen", targets.specimens, has.specimens),
        )
        for key in sorted(set(wanted) - set(known))
    ]
    if targets.all_accessions and not has.all_accessions:
        rows.append(PaperLink(paper=paper, linked_by=by, why=why[:200], all_accessions=True))
    return rows


def end_links(paper: Paper, links: Iterable[int], *, by: Any, why: str) -> int:
    """The ends themselves, inside the transaction of an action; no touch."""
    keys = list(links)
    announce(PaperLink, keys, by=by)
    return (
        standing(paper.links.all())
        .filter(pk__in=keys)
        .update(unlinked_at=timezone.now(), unlinked_by=by, unlinked_why=why[:200])
    )
