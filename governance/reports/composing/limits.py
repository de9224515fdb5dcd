"""What a permit limits, taxon by taxon, as its versions in force in a period say; nothing is judged by it here.

The limits are the engine's, and so is the question which names lie below a taxon. A limit is told with what it counts:
a taxon alone or with others of its group, in the whole, a year, at a site or an event. All of them stand in notes, too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, Final

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


_TOGETHER: Final = "-together"
SEVERAL: Final = "several"


@dataclass(frozen=True)
class Limit:
    """A number with what it counts, a code of ``LIMITS_OF``; both None without a limit."""

    number: int | None
    of: str | None


NO_LIMIT: Final = Limit(None, None)


@dataclass(frozen=True)
class Limits:
    """The limits of the versions in force in a period. is_one_year: whether the period lies in one calendar year."""

    versions: Sequence[Sequence[Cap]]
    is_one_year: bool

    @cached_property
    def _names(self) -> tuple[Classification, Mapping[int, int]]:
        known = names()
        return known.classification, {int(pk): row for row, pk in enumerate(known.ids)}

    def of(self, taxon: str, written: Collection[int]) -> Limit:
        """The limit of a taxon, with what it counts; ``NO_LIMIT`` without one.

        Args:
            taxon: as ``declared.taxon_key`` folds it.
            written: keys of the names under which it stands in the register.
        """
        found = [frozenset(self._of_version(caps, taxon, written)) for caps in self.versions]
        told = frozenset().union(*found)
        if not told:
            return NO_LIMIT
        if len(told) == 1 and len(set(found)) == 1:
            return next(iter(told))
        return Limit(self._least_of_all(found), SEVERAL)

    def _least_of_all(self, found: Sequence[Collection[Limit]]) -> int | None:
        """The one number of the whole period; None without it, or where the versions do not agree."""
        whole = {"paper", "year"} if self.is_one_year else {"paper"}
        least = {min((one.number for one in of if one.of in whole and one.number is not None), default=None)
                 for of in found}  # fmt: skip
        return least.pop() if len(least) == 1 else None

    def _of_version(self, caps: Sequence[Cap], taxon: str, written: Collection[int]) -> Iterator[Limit]:
        for cap in caps:
            if self._is_of(cap, taxon, written):
                yield Limit(cap.limit, cap.per)
            elif cap.taxon is None or (written and all(self._is_under(cap, key) for key in written)):
                yield Limit(cap.limit, f"{cap.per}{_TOGETHER}")

    def _is_of(self, cap: Cap, taxon: str, written: Collection[int]) -> bool:
        """Whether it counts this taxon and nothing else."""
        if cap.taxon is not None and cap.taxon.name == taxon:
            return True
        return cap.each_species and bool(written) and all(self._is_species_under(cap, key) for key in written)

    def _is_species_under(self, cap: Cap, written: int) -> bool:
        classification, row_of = self._names
        lineage = classification.lineage[row_of[written]]
        if lineage[_SPECIES] == _BLANK or lineage[_BELOW] != _BLANK:
            return False
        return self._is_under(cap, written)

    def _is_under(self, cap: Cap, written: int) -> bool:
        if cap.taxon is None:
            return True
        classification, row_of = self._names
        if cap.taxon not in self._inside:
            self._inside[cap.taxon] = np.asarray(classification.relate(cap.taxon).inside)
        return bool(self._inside[cap.taxon][row_of[written]])

    @cached_property
    def _inside(self) -> dict[Any, Any]:
        """By taxon of a limit, which names lie below it."""
        return {}

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
