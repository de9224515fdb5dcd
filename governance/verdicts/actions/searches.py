"""Searches for papers, recorded: of which accession or part, for which layer, by whom, when, with what result."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from accessions.material.models import Accession, Part
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.engine.tables import Layer, SearchState
from governance.verdicts.models import Search


def record_searches(
    *, accessions: Sequence[Accession] = (), parts: Sequence[Part] = (), layer: Layer, state: SearchState,
    searched_on: date, searched_by: str, note: str = "", by: Any, why: str,
) -> list[Search]:  # fmt: skip
    """Record one search for several accessions and parts: one row each, so that each can be searched for again.

    A search is of all that an accession or part holds; it changes what is said where no paper is linked, never a
    verdict.
    """
    check(by, Verb.RECORD_SEARCHES)
    of = [(accession, None) for accession in accessions] + [(part.accession, part) for part in parts]
    found = [
        Search(accession=accession, part=part, layer=layer, state=state, searched_on=searched_on,
               searched_by=searched_by, note=note)
        for accession, part in of
    ]  # fmt: skip
    with transaction.atomic():
        for search in found:
            record(search, by=by, why=why)
        touch(Scope.ACCESSION, [accession.pk for accession in accessions], by=by, why=why)
        touch(Scope.PART, [part.pk for part in parts], by=by, why=why)
    return found
