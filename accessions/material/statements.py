"""The row of a written statement: found by its digest, or read and made. One statement is one row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from accessions.material.events import place_events
from accessions.material.models import SamplingEvent, Specimen
from accessions.material.reading import event_digest
from accessions.material.touches import Scope, touch
from accessions.names.models import WrittenName
from accessions.names.placing import known_names, name_digest, place_names
from accessions.sites.keys import folded
from accessions.sites.models import Site
from accessions.values.counts import CountRead, read_count


def written_event(event: SamplingEvent) -> dict[str, str]:
    """The written columns of an event, text by term."""
    return {term: getattr(event, column) for term, column in SamplingEvent.COLUMN_OF_TERM.items()}


def written_name(name: WrittenName) -> dict[str, str]:
    """The written columns of a name, text by term."""
    return {term: getattr(name, column) for term, column in WrittenName.COLUMN_OF_TERM.items()}


def place_event(written: Mapping[str, str], *, by: Any, why: str) -> SamplingEvent:
    """The event of a statement. Call it inside the transaction of the change.

    Args:
        written: text by term; a term that is absent counts as blank.
    """
    digest = event_digest(written)
    site = site_named(written.get("locationID", ""), written.get("siteName", ""))
    keys, _made = place_events({digest: written}, {digest: site.pk if site else None}, by=by, why=why)
    return SamplingEvent.objects.get(pk=keys[digest])


def site_named(code: str, name: str) -> Site | None:
    """The registered site of a record, by the rule of the intake: by its code alone; only without one by its name.

    A name that several sites bear finds none: a person says which, on the page of the site.
    """
    if code:
        return Site.objects.filter(code_key=folded(code)).first()
    if not name:
        return None
    named = list(Site.objects.filter(name_key=folded(name))[:2])
    return named[0] if len(named) == 1 else Site.objects.filter(code_key=folded(name)).first()


def place_name(written: Mapping[str, str], *, by: Any, why: str) -> WrittenName:
    """The name of a statement. Call it inside the transaction of the change.

    A name that was not there leaves the mark of names: it can say where the names of other specimens stand.
    """
    digest = name_digest(written)
    if not known_names([digest]):
        touch(Scope.NAMES, by=by, why=why)
    keys = place_names({digest: written}, by=by, why=why)
    return WrittenName.objects.get(pk=keys[digest])


def count_of(specimen: Specimen) -> CountRead:
    """The bounds of the written count of a specimen."""
    return read_count(
        specimen.individual_count,
        specimen.count_range,
        specimen.unit,
        specimen.basis_of_record,
        specimen.organism_quantity,
    )
