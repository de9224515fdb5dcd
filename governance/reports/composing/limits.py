"""What a permit limits, taxon by taxon, as its versions in force in a period say; nothing is judged by it here.

The limits are the engine's, and so is the question which names lie below a taxon. A limit that is not of one taxon in
the whole period (of several taxa together, of a site or an event) stands in a note instead.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Final

import numpy as np

from governance.engine.tables import RANKS, Cap
from governance.engine.taxa import Classification
from governance.papers.lifetimes import in_force_between, in_order
from governance.papers.models import Paper
from governance.papers.queries import held_papers
from governance.reports.composing.scope import Period
from governance.reports.contents import Note
from governance.verdicts.feed.facts import names

_SPECIES, _BELOW = RANKS.index("species"), RANKS.index("infraspecies")
_BLANK: Final = -1
EVERY_TAXON: Final = "*"
"""As in the exchange files."""


@dataclass(frozen=True)
class Limits:
    """The limits of the versions in force in a period. is_one_year: whether the period lies in one calendar year."""

    versions: Sequence[Sequence[Cap]]
    is_one_year: bool

    @cached_property
    def _names(self) -> tuple[Classification, Mapping[int, int]]:
        known = names()
        return known.classification, {int(pk): row for row, pk in enumerate(known.ids)}

    def of(self, taxon: str, written: Collection[int]) -> int | None:
        """The limit of a taxon; None without one, or where the versions do not agree.

        Args:
            taxon: as ``declared.taxon_key`` folds it.
            written: keys of the names under which it stands in the register.
        """
        least = {self._least(caps, taxon, written) for caps in self.versions}
        return least.pop() if len(least) == 1 else None

    def _least(self, caps: Sequence[Cap], taxon: str, written: Collection[int]) -> int | None:
        return min((cap.limit for cap in caps if self._is_of(cap, taxon, written)), default=None)

    def _is_of(self, cap: Cap, taxon: str, written: Collection[int]) -> bool:
        if not self._is_of_period(cap):
            return False
        if cap.taxon is not None and cap.taxon.name == taxon:
            return True
        return cap.each_species and bool(written) and all(self._is_species_under(cap, key) for key in written)

    def _is_of_period(self, cap: Cap) -> bool:
        return cap.per == "paper" or (cap.per == "year" and self.is_one_year)

    def _is_species_under(self, cap: Cap, written: int) -> bool:
        classification, row_of = self._names
        row = row_of[written]
        lineage = classification.lineage[row]
        if lineage[_SPECIES] == _BLANK or lineage[_BELOW] != _BLANK:
            return False
        return cap.taxon is None or bool(np.asarray(classification.relate(cap.taxon).inside)[row])

    def notes(self, part: str) -> Iterator[Note]:
        """Every limit, each once: what it counts, of which taxon, and per what."""
        for cap in dict.fromkeys(cap for caps in self.versions for cap in caps):
            key = f"cap_{cap.per}_each" if cap.each_species else f"cap_{cap.per}"
            yield Note(key, part, {"limit": cap.limit, "taxon": cap.taxon.text if cap.taxon else EVERY_TAXON})


def limits_of(paper: Paper, period: Period) -> Limits:
    """The limits of a paper; without a period those of all its versions. About twenty queries."""
    held = held_papers([paper.pk], with_links=False)
    if not held:
        return Limits((), is_one_year=False)
    versions = in_order(paper.versions.all())
    wanted = versions if period.is_open else in_force_between(
        paper, period.first or date.min, period.last or date.max
    )  # fmt: skip
    read = sorted(held[0].paper.versions, key=lambda version: (version.from_day is not None, version.from_day or 0))
    caps = [one.caps for version, one in zip(versions, read, strict=True) if version in wanted]
    first, last = period.first, period.last
    return Limits(caps, is_one_year=first is not None and last is not None and first.year == last.year)
