"""Which papers of a kind are on file for material, and for how much of it: consent, terms, permits, certificates.

That a paper was recorded is all that is told. A paper that was only applied for, refused, taken back or given back is
not on file as an agreement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from governance.papers.lifetimes import Standing, lifetime
from governance.papers.models import Paper
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.owners import PrivateOwners
from governance.reports.composing.scope import Scope
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys

NOT_STANDING: Final = frozenset(
    {Standing.APPLIED, Standing.REFUSED, Standing.REVOKED, Standing.WITHDRAWN, Standing.SURRENDERED}
)

_ROWS: Final = (
    "SELECT id, accession_id, COALESCE(part_id, -1), event_id, name_id, COALESCE(parent_id, -1) "
    "FROM material_specimen WHERE id {keys}"
)


@dataclass(frozen=True)
class Agreement:
    """A paper on file. is_told: whether what stands in it may stand in the report."""

    paper: Paper
    is_told: bool


@dataclass(frozen=True)
class Agreements:
    """The papers on file for some material. bears: on how many specimens each set of papers bears. ended: how many
    papers no longer stand."""

    bears: Mapping[frozenset[int], int]
    on_file: Sequence[Agreement]
    ended: int

    @property
    def total(self) -> int:
        """Specimens that were asked about."""
        return sum(self.bears.values())

    def where(self, serves: Callable[[Paper], bool]) -> Found:
        """The papers that serve, told ones apart from those that stay out."""
        serving = [one for one in self.on_file if serves(one.paper)]
        told = [one.paper for one in serving if one.is_told]
        return Found(self.bears, told, [one.paper for one in serving if not one.is_told])

    def of_kinds(self, *kinds: str) -> Found:
        """The same by kind."""
        return self.where(lambda paper: paper.kind in kinds)


@dataclass(frozen=True)
class Found:
    """Papers of one sort. bears: as of ``Agreements``."""

    bears: Mapping[frozenset[int], int]
    told: Sequence[Paper]
    kept_back: Sequence[Paper]

    def covers_all(self, papers: Sequence[Paper]) -> bool:
        """Whether one or another of some papers bears on each specimen."""
        keys = {paper.pk for paper in papers}
        return bool(self.bears) and all(not keys.isdisjoint(of) for of in self.bears)

    def answer(self, value: Callable[[Paper], str], owners: PrivateOwners, stated: str, missing: str) -> Told:
        """What the papers say, and how that stands: ``stated`` if they speak for all of the material, ``in-part`` if
        for some of it, ``kept-back`` if all that would say it stays out, else ``missing``."""
        saying = [paper for paper in self.told if value(paper)]
        shown = [paper for paper in saying if not owners.are_named_in(value(paper))]
        withheld = len(saying) - len(shown)
        if not shown:
            return Told(None, "kept-back" if saying or self.kept_back else missing, withheld)
        values = "; ".join(dict.fromkeys(map(value, shown)))
        return Told(values, stated if self.covers_all(shown) else "in-part", withheld)


@dataclass(frozen=True)
class Told:
    """The value of a field with its state, a code of ``ANSWER_STATES``. withheld: names of owners that stay out."""

    value: str | None
    state: str
    withheld: int = 0


def whole_specimens(keys: Collection[int]) -> list[SpecimenRow]:
    """The material without what was taken from a specimen: that follows what it was taken from."""
    rows = [SpecimenRow(*columns) for columns in rows_by_keys(_ROWS, list(keys))]
    return [row for row in rows if row.parent < 0] or rows


def agreements(scope: Scope) -> Agreements:
    """The papers that bear on the material of a report: about a dozen queries."""
    rows = whole_specimens(scope.keys)
    bears = Counter(bearing(rows).papers) if rows else Counter()
    chosen = Paper.objects.filter(pk__in=frozenset().union(*bears)).order_by("pk")
    papers = list(chosen.select_related("issuer_agent").prefetch_related("statuses", "versions"))
    standing = {paper.pk: paper for paper in papers if lifetime(paper, scope.today).standing not in NOT_STANDING}
    disclosing = Disclosing(scope, standing)
    on_file = [Agreement(paper, disclosing.goes_in(key)) for key, paper in standing.items()]
    return Agreements(bears, on_file, len(papers) - len(standing))
