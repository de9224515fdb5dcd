"""Which papers of a kind are on file for material, and for how much of it: consent, terms, permits, certificates.

That a paper was recorded is all that is told. A paper that was only applied for, refused, taken back or given back is
not on file as an agreement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
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
    """A paper on file. specimens: on how many of those asked about it bears by itself."""

    paper: Paper
    specimens: int
    is_told: bool


@dataclass(frozen=True)
class Agreements:
    """The papers on file for some material. total: specimens asked about. ended: papers that no longer stand."""

    total: int
    on_file: Sequence[Agreement]
    ended: int

    def where(self, serves: Callable[[Paper], bool]) -> Found:
        """The papers that serve, told ones apart from those that stay out."""
        serving = [one for one in self.on_file if serves(one.paper)]
        return Found(self.total, [one for one in serving if one.is_told], [one for one in serving if not one.is_told])

    def of_kinds(self, *kinds: str) -> Found:
        """The same by kind."""
        return self.where(lambda paper: paper.kind in kinds)


@dataclass(frozen=True)
class Found:
    """Papers of one sort. total: specimens asked about, of which each bears on some."""

    total: int
    told: Sequence[Agreement]
    kept_back: Sequence[Agreement]

    @property
    def is_whole(self) -> bool:
        """Whether one of the told papers bears on all of the material; several that share it are not added up."""
        return any(one.specimens == self.total for one in self.told)

    def values(self, value: Callable[[Paper], str]) -> list[str]:
        """What the told papers say, each once, blanks left out."""
        return list(dict.fromkeys(text for one in self.told if (text := value(one.paper))))

    def answer(self, value: Callable[[Paper], str], owners: PrivateOwners, stated: str, missing: str) -> Told:
        """What the papers say, and how that stands: ``stated`` if one speaks for all of the material, ``in-part`` if
        for some of it, ``kept-back`` if all that would say it stays out, else ``missing``."""
        said = self.values(value)
        shown = owners.named(said)
        if not shown:
            return Told(None, "kept-back" if said or self.kept_back else missing, withheld=len(said))
        whole = any(one.specimens == self.total and value(one.paper) in shown for one in self.told)
        return Told("; ".join(shown), stated if whole else "in-part", withheld=len(said) - len(shown))


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
    counted: Counter[int] = Counter()
    for bears in bearing(rows).papers if rows else []:
        counted.update(paper for paper in bears if paper > 0)
    chosen = Paper.objects.filter(pk__in=counted).order_by("pk")
    papers = list(chosen.select_related("issuer_agent").prefetch_related("statuses", "versions"))
    standing = {paper.pk: paper for paper in papers if lifetime(paper, scope.today).standing not in NOT_STANDING}
    disclosing = Disclosing(scope, standing)
    on_file = [Agreement(paper, counted[key], disclosing.goes_in(key)) for key, paper in standing.items()]
    return Agreements(len(rows), on_file, len(papers) - len(standing))
