"""Which names CITES lists on a day, by the list that the house keeps; told by the engine's own reading of names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import Q

from governance.engine.answers import NO, YES
from governance.engine.tables import ByteColumn, ListedTaxon, LongColumn, Taxa, fold
from governance.engine.taxa import Classification, judge_taxa
from governance.engine.uses import Listed
from governance.usedesk.models import CitesListing
from governance.verdicts.feed.facts import names
from governance.verdicts.feed.rows import select
from governance.verdicts.material import NAME, taxa_of
from governance.verdicts.renaming import names_used


@dataclass(frozen=True)
class ListedNames:
    """ids: keys of written names, ascending; values: of ``Listed``, for each. everything: of every name that is not one
    of them."""

    everything: Listed
    ids: LongColumn
    values: ByteColumn

    def of(self, name_ids: Sequence[int]) -> ByteColumn:
        """For each name whether it is listed; uint8, shape (n_names,)."""
        wanted = np.array(name_ids, np.int64)
        found = np.full(len(wanted), self.everything, np.uint8)
        if len(self.ids):
            row = np.minimum(np.searchsorted(self.ids, wanted), len(self.ids) - 1)
            is_known = self.ids[row] == wanted
            found[is_known] = self.values[row[is_known]]
        return found


def _same(answer: Listed) -> ListedNames:
    return ListedNames(answer, np.zeros(0, np.int64), np.zeros(0, np.uint8))


NOT_ASKED = _same(Listed.NO)
"""Where nothing crosses a border, nobody asks."""


@dataclass(frozen=True)
class _Listing:
    """A listed name, and where it stands as the house entered it: the columns of ``NAME``."""

    taxon: ListedTaxon
    path: tuple[str, ...]


_kept: dict[tuple[str, tuple[_Listing, ...]], ListedNames] = {}
"""The last answer, by the mark of the classification and the listed names: a scan must not cost reading all names."""


def listed_on(day: date) -> ListedNames:
    """All names as listed on a day. Without any listing in force on it nothing is known to be free of CITES."""
    listings = _in_force(day)
    if not listings:
        return _same(Listed.UNKNOWN)
    key = (_mark(), listings)
    if key not in _kept:
        _kept.clear()
        _kept[key] = _read(listings)
    return _kept[key]


def _mark() -> str:
    """Of the classification: rows of names are only added, and the last one tells one set of rows from another."""
    last = select("SELECT digest FROM names_writtenname ORDER BY id DESC LIMIT 1")
    return f"{names_used()} {''.join(digest for (digest,) in last)}"


def _in_force(day: date) -> tuple[_Listing, ...]:
    rows = CitesListing.objects.filter(
        Q(from_on__isnull=True) | Q(from_on__lte=day), Q(to_on__isnull=True) | Q(to_on__gte=day)
    )
    found = rows.order_by("name", "kingdom").values_list("name", "kingdom", "rank", "higher_classification")
    return tuple(dict.fromkeys(_listing(*row) for row in found))


def _listing(name: str, kingdom: str, rank: str, higher: str) -> _Listing:
    told = {"scientificName": name, "kingdom": kingdom, "taxonRank": rank, "higherClassification": higher}
    return _Listing(ListedTaxon(fold(name), fold(kingdom)), tuple(told.get(term, "") for term in NAME))


def _read(listings: tuple[_Listing, ...]) -> ListedNames:
    """The names of the register, and after them where the listed names stand: so that a specimen of another order is
    known to be none of a species that the register has never met."""
    written = names()
    classification = Classification(_joined(written.taxa, taxa_of([one.path for one in listings])))
    taxa = tuple(dict.fromkeys(one.taxon for one in listings))
    answers = judge_taxa(classification, taxa, ()).answer[: len(written.ids)]
    values = np.full(len(written.ids), Listed.UNKNOWN, np.uint8)
    values[answers == YES] = Listed.YES
    values[answers == NO] = Listed.NO
    return ListedNames(Listed.UNKNOWN, written.ids, values)


def _joined(first: Taxa, second: Taxa) -> Taxa:
    return Taxa(
        [*first.lineage, *second.lineage], [*first.unranked, *second.unranked],
        np.concatenate([first.qualified, second.qualified]), [*first.text, *second.text],
    )  # fmt: skip
