"""Which names CITES lists on a day, by the list that the house keeps; told by the engine's own reading of names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import Q

from governance.engine.answers import NO, YES
from governance.engine.tables import ByteColumn, ListedTaxon, LongColumn, fold
from governance.engine.taxa import judge_taxa
from governance.engine.uses import Listed
from governance.usedesk.models import CitesListing
from governance.verdicts.feed.facts import names
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


_kept: dict[tuple[str, tuple[ListedTaxon, ...]], ListedNames] = {}
"""The last answer, by the mark of the classification and the listed names: a scan must not cost reading all names."""


def listed_on(day: date) -> ListedNames:
    """All names as listed on a day. Without any listing in force on it nothing is known to be free of CITES."""
    taxa = _in_force(day)
    if not taxa:
        return _same(Listed.UNKNOWN)
    key = (names_used(), taxa)
    if key not in _kept:
        _kept.clear()
        _kept[key] = _read(taxa)
    return _kept[key]


def _in_force(day: date) -> tuple[ListedTaxon, ...]:
    rows = CitesListing.objects.filter(
        Q(from_on__isnull=True) | Q(from_on__lte=day), Q(to_on__isnull=True) | Q(to_on__gte=day)
    )
    pairs = rows.order_by("name", "kingdom").values_list("name", "kingdom")
    return tuple(dict.fromkeys(ListedTaxon(fold(name), fold(kingdom)) for name, kingdom in pairs))


def _read(taxa: tuple[ListedTaxon, ...]) -> ListedNames:
    written = names()
    answers = judge_taxa(written.classification, taxa, ()).answer[: len(written.ids)]
    values = np.full(len(written.ids), Listed.UNKNOWN, np.uint8)
    values[answers == YES] = Listed.YES
    values[answers == NO] = Listed.NO
    return ListedNames(Listed.UNKNOWN, written.ids, values)
