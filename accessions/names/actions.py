"""Writes of the room: lists of taxa loaded beside what the specimens say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from accessions.names.listed import ListedTaxon, path_of_listed
from accessions.names.models import Taxon, TaxonList
from accessions.names.placing import Path, place_paths
from accessions.people.access import Verb, check
from accessions.people.history import record


class TaxonListError(ValueError):
    """A list that cannot be loaded as it is; the words say every row."""


@dataclass(frozen=True)
class LoadedList:
    """taxon_list: the list. made: taxa that are new. known: taxa of the list that were there already."""

    taxon_list: TaxonList
    made: int
    known: int


def load_taxa(taxa: Sequence[ListedTaxon], *, name: str, source: str, checked_on: date | None = None, by: Any,
              why: str) -> LoadedList:  # fmt: skip
    """Add the taxa of a list to the classification; those that are there already stay as they are.

    The caller leaves the mark that names changed: this room does not know of it.

    Raises:
        NotAllowedError: the person may not enter facts.
        TaxonListError: the list has no name or no source, is empty, or a row of it cannot be placed.
    """
    check(by, Verb.ENTER_FACTS)
    _refuse(name, source, taxa)
    paths = _paths(taxa)
    with transaction.atomic():
        taxon_list = _list_named(name, source, checked_on, by=by, why=why)
        before = Taxon.objects.count()
        keys = place_paths(paths, by=by, why=why, taxon_list=taxon_list.pk)
        made = Taxon.objects.count() - before
    return LoadedList(taxon_list, made, len(keys) - made)


def _list_named(name: str, source: str, checked_on: date | None, *, by: Any, why: str) -> TaxonList:
    """The list of this name, its source and day brought up to date if they differ."""
    found = TaxonList.objects.filter(name=name).first() or TaxonList(name=name)
    if found.pk is None or (found.source, found.checked_on) != (source, checked_on):
        found.source, found.checked_on = source, checked_on
        record(found, by=by, why=why)
    return found


def _refuse(name: str, source: str, taxa: Sequence[ListedTaxon]) -> None:
    if not name.strip() or not source.strip():
        raise TaxonListError(_("Give the list a name and its source."))
    if not taxa:
        raise TaxonListError(_("The list has no rows."))


def _paths(taxa: Iterable[ListedTaxon]) -> list[Path]:
    listed = list(taxa)
    by_name = {one.name.casefold(): one for one in listed}
    paths, problems = [], []
    for one in listed:
        try:
            paths.append(path_of_listed(one, by_name))
        except ValueError as error:
            problems.append(str(error))
    if problems:
        raise TaxonListError("\n".join(problems))
    return paths
