"""Reasons that specimens share: one for each layer, verdict, first finding and first paper; most specimens first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import Count, QuerySet
from django.urls import reverse

from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper
from governance.verdicts.cells import Cell
from governance.verdicts.models import COUNTING_SQL, Standing
from governance.verdicts.queries.filters import Filters, standings
from governance.verdicts.queries.kept_counts import kept_count
from governance.verdicts.reason_words import reason_words

_CANNOT_TELL = int(Verdict.CANNOT_TELL)

_SHARED = """
SELECT o.layer, o.verdict, f.code, p.paper_id, SUM(n.specimens) AS specimens, MIN(o.id)
FROM ({rulings}) AS n
JOIN verdicts_rulinglayer AS l ON l.ruling_id = n.ruling_id
JOIN verdicts_outcome AS o ON o.id = l.outcome_id AND o.verdict >= %s
LEFT JOIN verdicts_outcomefinding AS f ON f.outcome_id = o.id AND f.position = 0
LEFT JOIN verdicts_outcomepaper AS p ON p.outcome_id = o.id AND p.position = 0
GROUP BY o.layer, o.verdict, f.code, p.paper_id
"""

_OVERRULED = f"""
SELECT o.layer, o.verdict, f.code, p.paper_id, COUNT(*) AS specimens, MIN(o.id)
FROM ({{overruled}}) AS n
JOIN verdicts_override AS w ON w.specimen_id = n.specimen_id AND {COUNTING_SQL.format("w")}
JOIN verdicts_rulinglayer AS l ON l.ruling_id = n.ruling_id AND l.layer = w.layer
JOIN verdicts_outcome AS o ON o.id = l.outcome_id AND o.verdict >= %s
LEFT JOIN verdicts_outcomefinding AS f ON f.outcome_id = o.id AND f.position = 0
LEFT JOIN verdicts_outcomepaper AS p ON p.outcome_id = o.id AND p.position = 0
GROUP BY o.layer, o.verdict, f.code, p.paper_id
"""

_Key = tuple[int, int, str | None, int | None]


@dataclass(frozen=True)
class SharedReason:
    """A reason and how many share it. outcome: one that has it, by which the list is narrowed to it."""

    layer: Layer
    verdict: Verdict
    code: str
    paper: Paper | None
    specimens: int
    outcome: int

    @property
    def cell(self) -> Cell:
        return Cell(self.verdict, self.layer)

    @property
    def words(self) -> str:
        return reason_words(self.code)

    @property
    def list_address(self) -> str:
        return f"{reverse('verdicts:specimens')}?reason={self.outcome}"


def shared_reasons(filters: Filters, most: int | None = None) -> tuple[list[SharedReason], int]:
    """The reasons of the specimens that match, and how many reasons there are. Three queries; four for all specimens.

    What a person decided beside a verdict is settled, and counts no longer for that layer.
    """
    found = standings(filters)
    counts = kept_count("reasons", lambda: _counts(found)) if filters.is_empty else _counts(found)
    rows = sorted(counts.items(), key=lambda item: (-item[1][0], item[0][:2], item[1][1]))
    shown = rows[:most]
    papers = Paper.objects.only("reference", "kind").in_bulk({key[3] for key, _ in shown if key[3]})
    return [_reason(key, count, outcome, papers) for key, (count, outcome) in shown], len(rows)


def _reason(key: _Key, count: int, outcome: int, papers: Mapping[int, Paper]) -> SharedReason:
    layer, verdict, code, paper = key
    return SharedReason(Layer(layer), Verdict(verdict), code or "", papers.get(paper or 0), count, outcome)


def _counts(found: QuerySet[Standing]) -> dict[_Key, tuple[int, int]]:
    """Specimens and an outcome by reason."""
    rulings = found.order_by().values("ruling_id").annotate(specimens=Count("pk"))
    overruled = found.order_by().filter(is_overruled=True).values("specimen_id", "ruling_id")
    counts = {row[:4]: (int(row[4]), int(row[5])) for row in _rows(_SHARED, rulings=rulings)}
    for *key, settled, _outcome in _rows(_OVERRULED, overruled=overruled):
        count, outcome = counts[tuple(key)]
        counts[tuple(key)] = (count - int(settled), outcome)
    return {key: row for key, row in counts.items() if row[0]}


def _rows(sql: str, **inner: QuerySet[Any, Any]) -> Sequence[tuple[Any, ...]]:
    """Run a statement of ours around the query of a list. Nothing from outside gets in but as a parameter."""
    ((name, query),) = inner.items()
    try:
        text, parameters = query.query.sql_with_params()
    except EmptyResultSet:
        return []
    with connection.cursor() as cursor:
        cursor.execute(sql.format(**{name: text}), [*parameters, _CANNOT_TELL])
        rows: list[tuple[Any, ...]] = cursor.fetchall()
        return rows
