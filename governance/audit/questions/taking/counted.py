"""How far limits on numbers are used up, by the engine's own counting (``governance.engine.cap_totals``)."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from django.utils.translation import gettext_lazy

from governance.engine.cap_totals import BREACHED, LAST_SOURCE, POSSIBLE, SAFE, CapTotal, cap_totals
from governance.engine.tables import UNBOUNDED, Cap, IntColumn, LongColumn, Material
from governance.engine.taxa import Classification
from governance.papers.models import VersionCap
from governance.papers.queries import Links, links_of
from governance.papers.readings import cap_words
from governance.verdicts.check import outlines
from governance.verdicts.feed import Feed, feed
from governance.verdicts.feed.specimens import Asked as AskedColumns
from governance.verdicts.feed.specimens import specimen_rows
from governance.verdicts.linked import Reach

ASKED_ABOUT: Final = LAST_SOURCE
"""The source of what a question is about; a limit is told only where some of it counts."""

STATE_WORDS: Final = {
    SAFE: gettext_lazy("within the limit"), POSSIBLE: gettext_lazy("may be above the limit"),
    BREACHED: gettext_lazy("above the limit"),
}  # fmt: skip


@dataclass(frozen=True)
class LinkedMaterial:
    """Everything to which some papers are linked, as the engine takes it. links: by key of the paper."""

    links: Mapping[int, Links]
    fed: Feed

    @property
    def material(self) -> Material:
        return self.fed.material

    @property
    def classification(self) -> Classification:
        return self.fed.classification

    @property
    def ids(self) -> LongColumn:
        """Keys of the specimens, in the order of the material."""
        return self.fed.specimens.ids

    def paper_of(self, total: CapTotal) -> int:
        """The key of its paper."""
        return self.fed.papers.ids[total.paper]

    def totals(self, source: IntColumn) -> list[CapTotal]:
        """The limits under which something of the source ``ASKED_ABOUT`` counts.

        Args:
            source: shape (n_specimens,): 0 to ``ASKED_ABOUT``, by which the numbers are told apart.
        """
        fed = self.fed
        return cap_totals(fed.material, fed.papers.papers, source, outlines(), fed.house.rules, fed.classification)

    def among(self, rows: LongColumn) -> LinkedMaterial:
        """Some rows of the material alone, under the same papers."""
        return LinkedMaterial(self.links, feed(self.ids[rows], self.links, self.fed.papers))

    @cached_property
    def _counts(self) -> tuple[LongColumn, LongColumn]:
        """Individuals of each specimen. The material has them only where a paper limits numbers."""
        rows = specimen_rows(self.ids, AskedColumns(counts=True, percent=self.fed.house.percent))
        return rows.count_low, rows.count_high

    def individuals(self, rows: LongColumn) -> tuple[int, int | None]:
        """Of some rows, at least and at most; None: no bound."""
        low, high = (counts[rows].astype(np.float64).sum() for counts in self._counts)
        return int(low), None if high >= UNBOUNDED else int(high)


def linked_material(papers: Collection[int]) -> LinkedMaterial:
    """The material of some papers: about thirty queries, and one for each 500 specimens."""
    links = {paper: of for paper, of in links_of(papers).items() if of}
    ids = Reach(links).specimens(list(links)) if links else np.zeros(0, np.int64)
    return LinkedMaterial(links, feed(ids, links))


def limit_words(cap: Cap) -> str:
    """ "at most 10 individuals of Odonata, of each species, under the paper"."""
    each = VersionCap.Each.SPECIES if cap.each_species else VersionCap.Each.TOGETHER
    taxon = (cap.taxon.text or cap.taxon.name) if cap.taxon else ""
    return cap_words(VersionCap(taxon=taxon, each=each, per=cap.per, limit=cap.limit))
