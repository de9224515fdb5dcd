"""Results that differ from the one before them, of the same specimen, in the name and in the verdicts."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from django.db import connection

from governance.verdicts.models import Ruling
from governance.verdicts.queries.kept_counts import kept_count

_SEVERAL: Final = """
SELECT r.id, r.specimen_id, r.run_id, r.ruling_id, r.name_id
FROM verdicts_result r
WHERE r.specimen_id IN (SELECT specimen_id FROM verdicts_result GROUP BY specimen_id HAVING COUNT(*) > 1)
  AND r.run_id IN (SELECT id FROM verdicts_run WHERE state = 'done')
  AND EXISTS (SELECT 1 FROM material_specimen s WHERE s.id = r.specimen_id)
ORDER BY r.specimen_id, r.run_id
"""
"""Served by the index of results by specimen: the specimens that have more than one result are one walk of it. Results
of specimens that were removed stay, and have no page to lead to."""

_Found = tuple[int, int, int, int, int]


@dataclass(frozen=True)
class Renamed:
    """Parallel columns, newest run first: key of the result, of the one before it, of specimen and run."""

    results: array[int]
    befores: array[int]
    specimens: array[int]
    runs: array[int]

    def __len__(self) -> int:
        return len(self.results)

    def of_runs(self, runs: Iterable[int]) -> Renamed:
        """Only those that some runs found."""
        wanted = set(runs)
        kept = [place for place, run in enumerate(self.runs) if run in wanted]
        columns = (self.results, self.befores, self.specimens, self.runs)
        return Renamed(*(array("q", (column[place] for place in kept)) for column in columns))


def renamed() -> Renamed:
    """All there are; of a large register worked out once after each assessment. A walk over the index of specimens, and
    one query for the strips of the rulings that were found."""
    return kept_count("renamed", _renamed)


def _renamed() -> Renamed:
    with connection.cursor() as cursor:
        cursor.execute(_SEVERAL)
        pairs = list(_pairs(cursor))
    strips = _strips({ruling for before, after in pairs for ruling in (before[3], after[3])})
    changed = [(before, after) for before, after in pairs if strips.get(before[3]) != strips.get(after[3])]
    changed.sort(key=lambda pair: (-pair[1][2], -pair[1][0]))
    return Renamed(
        array("q", (after[0] for _before, after in changed)), array("q", (before[0] for before, _after in changed)),
        array("q", (after[1] for _before, after in changed)), array("q", (after[2] for _before, after in changed)),
    )  # fmt: skip


def _pairs(rows: Iterable[_Found]) -> Iterator[tuple[_Found, _Found]]:
    """Results that follow each other and differ in name and ruling."""
    before: _Found | None = None
    for row in rows:
        if before is not None and before[1] == row[1] and before[4] != row[4] and before[3] != row[3]:
            yield before, row
        before = row


def _strips(rulings: set[int]) -> dict[int, str]:
    return {pk: strip for pk, strip in Ruling.objects.values_list("pk", "strip").iterator() if pk in rulings}
