"""The material as the engine of answers takes it: what is asked for, and all that it was taken from or pooled of."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from accessions.material.models import Touch
from governance.engine.tables import NONE, UNBOUNDED, ByteColumn, IntColumn
from governance.engine.uses import Holding, Listed
from governance.engine.uses.counted import specimens_under
from governance.engine.uses.inherited import Inherited
from governance.usedesk.queries.bearing import Deposits, SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.usedesk.queries.listed import ListedNames
from governance.verdicts.renaming import names_used
from governance.verdicts.selecting import of_touches

_MARKS_LOOKED_AT = 500
"""With more marks than these waiting, no verdict is taken to stand."""


class NoSuchSpecimenError(LookupError):
    """A key that is no specimen was asked about."""


@dataclass(frozen=True)
class Held:
    """The material with what its rows stand for. rows: by row of the holding.

    papers: keys of all papers that bear, ascending, into which ``Holding.sets`` points by place; negative: of deposits.
    """

    rows: Sequence[SpecimenRow]
    papers: tuple[int, ...]
    holding: Holding
    deposits: Deposits

    def with_listed(self, listed: ListedNames) -> Held:
        """The same material, with names as CITES lists them on another day."""
        column = _listed(self.rows, listed, len(self.holding.listed))
        return replace(self, holding=replace(self.holding, listed=column))

    def most_under(self) -> dict[int, int]:
        """By key of a paper, how many individuals it bears on at most, as the engine counts what is asked for."""
        bounds = specimens_under(Inherited(self.holding), self.holding.asked)
        return {self.papers[row]: most for row, (_, most) in bounds.items()}


def held(ids: Sequence[int], listed: ListedNames) -> Held:
    """Read specimens with all that they come from.

    A verdict for which a change waits to be taken up does not stand: its material is also not judged. It keeps the
    verdict that it had, so that no answer becomes milder either way.

    Raises:
        NoSuchSpecimenError: one of the keys is no specimen.
    """
    rows, counts, sources = _with_sources(ids)
    bears = bearing(rows)
    papers = tuple(sorted(set().union(*bears.papers)))
    place_of = {paper: place for place, paper in enumerate(papers)}
    sets: dict[frozenset[int], int] = {}
    column = [sets.setdefault(of, len(sets)) for of in bears.papers]
    verdicts = _worst(rows)
    waiting = np.zeros(len(rows), bool)
    waiting[_waiting(rows)] = True
    bounds = np.array(counts, np.int64).reshape(-1, 2)
    return Held(
        rows, papers,
        Holding(
            papers=_ints(column), sets=tuple(frozenset(place_of[p] for p in of) for of in sets),
            verdict=_ints(verdicts), listed=_listed(rows, listed, len(column)),
            sources=_ints(sources).reshape(-1, 2), asked=_asked(rows, ids), least=bounds[:, 0], most=bounds[:, 1],
            waiting=waiting,
        ),
        bears.deposits,
    )  # fmt: skip


_COLUMNS = (
    "id, accession_id, COALESCE(part_id, -1), event_id, name_id, COALESCE(parent_id, -1), "
    f"count_low, COALESCE(count_high, {UNBOUNDED})"
)


def _with_sources(ids: Sequence[int]) -> tuple[list[SpecimenRow], list[tuple[int, int]], list[tuple[int, int]]]:
    """The specimens and all that they come from, each once; how many individuals they are, at least and at most; and
    pairs of rows. Two queries for each step back."""
    rows: list[SpecimenRow] = []
    counts: list[tuple[int, int]] = []
    row_of: dict[int, int] = {}
    pairs: list[tuple[int, int]] = []
    wanted = list(dict.fromkeys(ids))
    while wanted:
        found = rows_by_keys(f"SELECT {_COLUMNS} FROM material_specimen WHERE id {{keys}}", wanted)
        for columns in found:
            row_of[columns[0]] = len(rows)
            rows.append(SpecimenRow(*columns[:6]))
            counts.append((columns[6], columns[7]))
        if len(found) < len(wanted):
            raise NoSuchSpecimenError(sorted(set(wanted) - set(row_of)))
        members = rows_by_keys("SELECT pool_id, member_id FROM material_poolmember WHERE pool_id {keys}", wanted)
        parents = [(columns[0], columns[5]) for columns in found if columns[5] != NONE]
        pairs += [*parents, *members]
        wanted = list(dict.fromkeys(source for _, source in (*parents, *members) if source not in row_of))
    return rows, counts, [(row_of[one], row_of[source]) for one, source in pairs]


def _worst(rows: Sequence[SpecimenRow]) -> list[int]:
    """The worst verdict that stands, after decisions of people; ``NONE`` where none does."""
    sql = "SELECT specimen_id, worst FROM verdicts_standing WHERE specimen_id {keys}"
    standing = dict(rows_by_keys(sql, [row.pk for row in rows]))
    return [standing.get(row.pk, NONE) for row in rows]


def _waiting(rows: Sequence[SpecimenRow]) -> list[int]:
    """Rows whose verdict a change may move that nobody has taken up yet."""
    touches = list(Touch.objects.order_by("pk")[: _MARKS_LOOKED_AT + 1])
    if not touches:
        return []
    if len(touches) > _MARKS_LOOKED_AT:
        return list(range(len(rows)))
    touched = of_touches(touches, names_used()).specimens
    if touched is None:
        return list(range(len(rows)))
    keys: Collection[int] = set(touched.tolist())
    return [number for number, row in enumerate(rows) if row.pk in keys]


def _listed(rows: Sequence[SpecimenRow], listed: ListedNames, count: int) -> ByteColumn:
    column = np.full(count, Listed.NO, np.uint8)
    column[: len(rows)] = listed.of([row.name for row in rows])
    return column


def _asked(rows: Sequence[SpecimenRow], ids: Sequence[int]) -> IntColumn:
    row_of = {row.pk: number for number, row in enumerate(rows)}
    return _ints([row_of[pk] for pk in ids])


def _ints(values: Sequence[int] | Sequence[tuple[int, int]]) -> IntColumn:
    return np.array(values, np.int32)
