"""One paper linked to many accessions, all or nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from accessions.material.models import Accession
from accessions.people.access import Verb, check
from governance.papers.actions.linking import Targets, link
from governance.papers.models import Paper


@dataclass(frozen=True)
class Attached:
    """How many accessions are linked anew, and how many were linked already."""

    made: int
    known: int


def attach_to_accessions(*, paper: Paper, accessions: Sequence[Accession], by: Any, why: str) -> Attached:
    """Link a paper to whole accessions in one transaction; what is linked already is left as it is.

    The verdicts follow after the request, as after any link: one mark is left for the paper.
    """
    check(by, Verb.LINK_PAPERS)
    keys = {accession.pk for accession in accessions}
    with transaction.atomic():
        made = link(paper=paper, targets=Targets(accessions=keys), by=by, why=why)
    return Attached(made, len(keys) - made)
