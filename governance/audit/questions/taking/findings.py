"""Specimens with certain findings in the verdicts that stand, one row a finding; nothing is judged here again.

How many there are is told by the rulings, of which there are few; rows are read a page at a time.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from django.db.models import Count, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import SamplingEvent
from accessions.names.models import WrittenName
from governance.audit.asking import Cell, QueriedRows, Row
from governance.audit.questions.addresses import link
from governance.audit.questions.narrowing import Scope
from governance.engine.tables import Layer, Verdict
from governance.verdicts.models import COUNTING, OutcomeFinding, OutcomePaper, Override, RulingLayer, Run, Standing
from governance.verdicts.row_sentences import SentenceFiller
from governance.verdicts.standing_columns import strip_of

COLLECTING_LAYERS: Final = (Layer.LAND, Layer.COLLECTING, Layer.SPECIES, Layer.PROTECTED_SITE, Layer.ACCESS)
"""The layers that test the day of collecting (the contract of verdicts, section 2)."""

_LAYERS: Final = "ruling__layers"
_FINDINGS: Final = f"{_LAYERS}__outcome__findings"


@dataclass(frozen=True)
class FoundCode:
    """A finding of some specimens with the same ruling."""

    ruling: int
    code: str
    measure: float | None
    specimens: int


@dataclass(frozen=True)
class Findings:
    """Findings with some codes, on some layers that need a look, of the material of a scope."""

    scope: Scope
    codes: frozenset[str]
    layers: tuple[Layer, ...]

    @cached_property
    def found(self) -> list[FoundCode]:
        """Two queries: one scan of the narrow table by ruling, and the rulings with such findings."""
        counts = dict(self.scope.standings.values_list("ruling").annotate(n=Count("pk")))
        rows = RulingLayer.objects.filter(
            layer__in=self.layers, outcome__verdict__gte=Verdict.CANNOT_TELL, outcome__findings__code__in=self.codes
        )
        columns = ("ruling", "outcome__findings__code", "outcome__findings__measure")
        return [
            FoundCode(ruling, code, measure, counts[ruling])
            for ruling, code, measure in rows.order_by().values_list(*columns)
            if ruling in counts
        ]

    def among(self, codes: Collection[str]) -> Findings:
        """Only some of the codes."""
        return Findings(self.scope, self.codes & frozenset(codes), self.layers)

    def specimens(self, codes: Collection[str], but: Collection[str] = ()) -> int:
        """Specimens with one of these codes and none of the others, on whichever of the layers."""
        counts = {one.ruling: one.specimens for one in self.found if one.code in codes}
        for one in self.found:
            if one.code in but:
                counts.pop(one.ruling, None)
        return sum(counts.values())

    def measures(self, codes: Collection[str]) -> list[float]:
        """All measures of these codes that were told, once each."""
        return sorted({one.measure for one in self.found if one.code in codes and one.measure is not None})

    def rows(self, codes: Collection[str], cells: Callable[[SpecimenFinding], tuple[Cell, ...]]) -> QueriedRows:
        """A row for each finding with one of these codes, by catalogue number and layer."""
        count = sum(one.specimens for one in self.found if one.code in codes)
        return QueriedRows(self._query(codes), _Maker(cells), count)

    def _query(self, codes: Collection[str]) -> QuerySet[Standing, Any]:
        conditions = {
            f"{_LAYERS}__layer__in": self.layers, f"{_LAYERS}__outcome__verdict__gte": Verdict.CANNOT_TELL,
            f"{_FINDINGS}__code__in": set(codes),
        }  # fmt: skip
        rows = self.scope.standings.filter(**conditions)
        order = ("catalog_number", "pk", f"{_LAYERS}__layer", f"{_FINDINGS}__position")
        return rows.order_by(*order).values_list("pk", f"{_LAYERS}__layer", f"{_FINDINGS}__pk")

    @property
    def notes(self) -> tuple[str, ...]:
        """That people decided beside some of these verdicts, where they did. One query."""
        decided = Override.objects.filter(COUNTING, layer__in=self.layers).values("specimen")
        overruled = self.scope.standings.filter(is_overruled=True, specimen__in=decided)
        rulings = {one.ruling for one in self.found}
        count = sum(ruling in rulings for ruling in overruled.values_list("ruling", flat=True))
        if not count:
            return ()
        words = ngettext(
            "Beside %(n)d of these verdicts a person decided otherwise; the column of the verdict shows what counts.",
            "Beside %(n)d of these verdicts people decided otherwise; the column of the verdict shows what counts.",
            count,
        )  # fmt: skip
        return (words % {"n": count},)


@dataclass(frozen=True)
class SpecimenFinding:
    """A finding of one specimen. verdict: of the layer, after decisions of people. papers: that it was held against."""

    standing: Standing
    layer: Layer
    verdict: Verdict
    finding: OutcomeFinding
    papers: Sequence[OutcomePaper]
    sentence: str

    @property
    def specimen(self) -> Cell:
        number = self.standing.catalog_number or f"#{self.standing.pk}"
        return link("specimen", self.standing.pk, number)

    @property
    def accession(self) -> Cell:
        return link("accession", self.standing.accession_key, self.standing.accession_number)

    @property
    def paper(self) -> Cell:
        """The first of its papers leads to its page; several are named together."""
        if not self.papers:
            return _("none")
        return link("paper", self.papers[0].paper_id, " and ".join(one.reference for one in self.papers))


class _Maker:
    """Rows of a slice of keys: six queries a slice."""

    def __init__(self, cells: Callable[[SpecimenFinding], tuple[Cell, ...]]) -> None:
        self._cells = cells

    def __call__(self, keys: Sequence[tuple[int, int, int]]) -> list[Row]:
        filler = SentenceFiller(days_as_written=True)  # the rows of its files, too
        standings = _standings({pk for pk, _layer, _finding in keys})
        findings = OutcomeFinding.objects.in_bulk({finding for _pk, _layer, finding in keys})
        papers: dict[int, list[OutcomePaper]] = defaultdict(list)
        outcomes = {finding.outcome_id for finding in findings.values()}
        for paper in OutcomePaper.objects.filter(outcome__in=outcomes).order_by("outcome", "position"):
            papers[paper.outcome_id].append(paper)
        rows = []
        for pk, layer, key in keys:
            standing, finding = standings[pk], findings[key]
            verdict = Verdict(int(strip_of(standing.cells)[layer]))
            sentence = filler.fill(finding.sentence, standing)
            found = SpecimenFinding(standing, Layer(layer), verdict, finding, papers[finding.outcome_id], sentence)
            rows.append(Row(f"specimen:{pk}:layer:{layer}:{finding.code}", self._cells(found)))
        return rows


def _standings(keys: Collection[int]) -> dict[int, Standing]:
    """With the event, the name and the run that were judged."""
    found = Standing.objects.in_bulk(keys)
    events = SamplingEvent.objects.in_bulk({one.event_id for one in found.values()})
    names = WrittenName.objects.in_bulk({one.name_id for one in found.values()})
    runs = Run.objects.defer("papers").in_bulk({one.run_id for one in found.values()})
    for one in found.values():
        one.event, one.name, one.run = events[one.event_id], names[one.name_id], runs[one.run_id]
    return found
