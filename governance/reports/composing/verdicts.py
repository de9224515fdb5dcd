"""What stands of the permissions, and the exceptions told frankly: which layer, why, and what a person decided."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from django.utils import timezone

from governance.engine.tables import Layer, Verdict
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.finding_words import FindingWords
from governance.reports.composing.material import Material
from governance.reports.composing.scope import Scope
from governance.reports.contents import Row
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.models import COUNTING, Override
from governance.verdicts.standing_columns import strip_of

FINE: Final = frozenset({int(Verdict.COVERED), int(Verdict.NOT_REQUIRED)})
"""Verdicts that are no exception."""

_VERDICTS: Final = {int(verdict): verdict.code for verdict in Verdict}
_LAYERS: Final = {int(layer): layer.code for layer in Layer}


class Standing(NamedTuple):
    """What stands for a specimen, with the facts that were judged."""

    specimen: int
    ruling: int
    worst: int
    cells: int
    is_overruled: bool
    event: int
    name: int
    run: int


class Reason(NamedTuple):
    """Why a layer of a ruling is not fine. sentence: words of the specimen still open; None: kept back."""

    layer: int
    verdict: int
    sentence: str | None
    papers: str | None


@dataclass
class Verdicts:
    """All that stands for the material, by specimen."""

    standing: dict[int, Standing]

    @property
    def worst(self) -> dict[int, int]:
        return {pk: one.worst for pk, one in self.standing.items()}

    def without_paper(self) -> set[int]:
        """Specimens of which some layer that needs a paper has none."""
        missing = sum(1 << (len(Verdict) * layer + Verdict.MISSING) for layer in Layer)
        return {pk for pk, one in self.standing.items() if one.cells & missing}


_STANDING: Final = (
    "SELECT specimen_id, ruling_id, worst, cells, is_overruled, event_id, name_id, run_id FROM verdicts_standing "
    "WHERE specimen_id {keys}"
)
_SOME: Final = 20_000


def read(scope: Scope) -> Verdicts:
    """What stands: a query for each 20,000 specimens."""
    keys = scope.keys
    standing: dict[int, Standing] = {}
    for first in range(0, len(keys), _SOME):
        rows = rows_by_keys(_STANDING, keys[first : first + _SOME])
        standing |= {row[0]: Standing._make(row) for row in rows}
        scope.tell("verdicts", min(first + _SOME, len(keys)), len(keys))
    return Verdicts(standing)


def rows_of(material: Material, verdicts: Verdicts, secret: Collection[int], disclosing: Disclosing) -> list[Row]:
    """A row a specimen and layer that is not fine, or was not before a person decided.

    secret: specimens whose place is kept back, and with it the findings that write it.
    """
    reasons = _reasons({one.ruling for one in verdicts.standing.values()}, disclosing)
    decided = _decided([pk for pk, one in verdicts.standing.items() if one.is_overruled])
    words = FindingWords(
        (one, reason.sentence) for one in verdicts.standing.values() for reason in reasons.get(one.ruling, ())
    )
    found: list[Row] = []
    for row in material.rows:
        one = verdicts.standing.get(row.pk)
        if one is not None and (one.is_overruled or one.ruling in reasons):
            names = (material.numbers[row.pk], material.accessions[row.accession])
            told = words.without_places if row.pk in secret else words.filled
            found += ((*names, *rest) for rest in _of_one(one, reasons, decided, told, disclosing))
    disclosing.count("kept_findings", sum(1 for row in found if row[4] is None))
    return found


def _of_one(
    one: Standing, reasons: Mapping[int, Sequence[Reason]], decided: Mapping[int, Mapping[tuple[int, int], str]],
    told: Callable[[str, Standing], str | None], disclosing: Disclosing,
) -> Iterator[tuple[Any, ...]]:  # fmt: skip
    """Layer, verdict, finding, papers and decision. What a person decided stands beside what was worked out."""
    stands = strip_of(one.cells) if one.is_overruled else ""
    own = decided.get(one.specimen, {})
    of_ruling = reasons.get(one.ruling, ())
    for reason in of_ruling:
        verdict = int(stands[reason.layer]) if stands else reason.verdict
        sentence = reason.sentence and disclosing.masked(told(reason.sentence, one))
        because = disclosing.masked(own.get((reason.layer, reason.verdict))) if own else None
        yield _LAYERS[reason.layer], _VERDICTS[verdict], sentence, reason.papers, because
    layers = {reason.layer for reason in of_ruling}
    for (layer, _computed), because in own.items():
        if stands and layer not in layers and int(stands[layer]) not in FINE:
            yield _LAYERS[layer], _VERDICTS[int(stands[layer])], "", None, disclosing.masked(because)


def _reasons(rulings: Collection[int], disclosing: Disclosing) -> dict[int, list[Reason]]:
    """By ruling, its layers that are not fine, with the first finding of each: three queries."""
    found: dict[int, list[Reason]] = defaultdict(list)
    sql = (
        "SELECT l.ruling_id, l.layer, o.id, o.verdict FROM verdicts_rulinglayer l JOIN verdicts_outcome o "
        f"ON o.id = l.outcome_id WHERE o.verdict NOT IN ({', '.join(map(str, sorted(FINE)))}) AND l.ruling_id {{keys}} "
        "ORDER BY l.ruling_id, l.layer"
    )
    layers = rows_by_keys(sql, rulings)
    outcomes = {outcome for _ruling, _layer, outcome, _verdict in layers}
    sentences, papers = _sentences(outcomes), _papers(outcomes, disclosing)
    for ruling, layer, outcome, verdict in layers:
        of_outcome = papers.get(outcome, "")
        is_closed = of_outcome is None
        sentence = None if is_closed else sentences.get(outcome, "")
        found[ruling].append(Reason(layer, verdict, sentence, of_outcome))
    return found


def _sentences(outcomes: Collection[int]) -> dict[int, str]:
    sql = "SELECT outcome_id, sentence FROM verdicts_outcomefinding WHERE position = 0 AND outcome_id {keys}"
    return dict(rows_by_keys(sql, outcomes))


def _papers(outcomes: Collection[int], disclosing: Disclosing) -> dict[int, str | None]:
    """By outcome, the references of its papers; None where one of them stays out, and with it the finding."""
    sql = "SELECT outcome_id, paper_id, reference FROM verdicts_outcomepaper WHERE outcome_id {keys} ORDER BY position"
    named: dict[int, list[str]] = defaultdict(list)
    closed: set[int] = set()
    may_go: dict[int, bool] = {}
    for outcome, paper, reference in rows_by_keys(sql, outcomes):
        if paper not in may_go:
            may_go[paper] = disclosing.goes_in(paper)
        if may_go[paper]:
            named[outcome].append(disclosing.masked(reference) or "")
        else:
            closed.add(outcome)
    return {outcome: " | ".join(names) for outcome, names in named.items()} | dict.fromkeys(closed)


def _decided(specimens: Collection[int]) -> dict[int, dict[tuple[int, int], str]]:
    """By specimen, the decisions of people that stand, by layer and the verdict beside which each was made."""
    found: dict[int, dict[tuple[int, int], str]] = defaultdict(dict)
    if not specimens:
        return found
    keys = set(specimens)
    rows = Override.objects.filter(COUNTING).order_by("decided_at", "pk")
    columns = ("specimen_id", "layer", "computed", "reason", "decided_at")
    for specimen, layer, computed, reason, at in rows.values_list(*columns).iterator():
        if specimen in keys:
            found[specimen][layer, computed] = f"{reason} ({timezone.localdate(at)})"
    return found
