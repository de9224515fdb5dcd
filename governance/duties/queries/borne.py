"""On which material papers bear, by event and accession: a few thousand groups instead of 200,000 specimens.

The rule is that of ``usedesk.queries.bearing``. It tells specimens apart only where a paper is linked to one of them
alone; so all others of one accession, part and event are asked about once, by one of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

from django.db import connection

from governance.engine.tables import NONE
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys
from governance.verdicts.feed.rows import select

_ALONE: Final = "SELECT specimen_id FROM papers_paperlink WHERE specimen_id IS NOT NULL AND unlinked_at IS NULL"
_GROUPS: Final = (
    "SELECT MIN(id), accession_id, COALESCE(part_id, -1), event_id FROM material_specimen "
    f"WHERE id NOT IN ({_ALONE}) %s GROUP BY accession_id, COALESCE(part_id, -1), event_id"
)
_LINKED_ALONE: Final = (
    f"SELECT id, accession_id, COALESCE(part_id, -1), event_id FROM material_specimen WHERE id IN ({_ALONE}) %s"
)

_STEP_OF_SQLITE: Final = """
    SELECT up.use_id, made.parent_id FROM up JOIN material_specimen made ON made.id = up.id
    WHERE made.parent_id IS NOT NULL
    UNION SELECT up.use_id, pooled.member_id FROM up JOIN material_poolmember pooled ON pooled.pool_id = up.id"""
_STEP: Final = """
    SELECT up.use_id, edge.source FROM up JOIN LATERAL (
        SELECT parent_id AS source FROM material_specimen WHERE id = up.id AND parent_id IS NOT NULL
        UNION ALL SELECT member_id FROM material_poolmember WHERE pool_id = up.id
    ) edge ON TRUE"""
_USED: Final = f"""WITH RECURSIVE up(use_id, id) AS (
    SELECT item.use_id, item.specimen_id FROM usedesk_useitem item JOIN usedesk_madeuse made ON made.id = item.use_id
    WHERE made.voided_at IS NULL UNION %s)
    SELECT DISTINCT up.use_id, s.accession_id, COALESCE(s.part_id, -1), s.event_id,
        CASE WHEN s.id IN ({_ALONE}) THEN s.id ELSE -1 END
    FROM up JOIN material_specimen s ON s.id = up.id"""


class Group(NamedTuple):
    """Material of one accession, part (``NONE``: of no part) and event. specimen: one to which a paper is linked alone;
    ``NONE``: all others."""

    accession: int
    part: int
    event: int
    specimen: int = NONE


@dataclass(frozen=True)
class Borne:
    """papers: of each group the papers that bear on it."""

    papers: Mapping[Group, frozenset[int]]

    def groups_of(self, papers: Collection[int]) -> dict[int, list[Group]]:
        """By paper the groups on which it bears."""
        found: dict[int, list[Group]] = {paper: [] for paper in papers}
        wanted = found.keys()
        for group, on in self.papers.items():
            for paper in on & wanted:
                found[paper].append(group)
        return found


def borne(events: Collection[int] | None = None) -> Borne:
    """The material of some events; None: all of the register. About eleven queries."""
    condition, keys = ("", ()) if events is None else ("AND event_id {keys}", (events,))
    rows, alone = (
        [_row(*columns) for columns in rows_by_keys(sql % condition, *keys)] for sql in (_GROUPS, _LINKED_ALONE)
    )
    found = bearing([*rows, *alone]).papers if rows or alone else []
    groups = [Group(row.accession, row.part, row.event) for row in rows]
    groups += [Group(row.accession, row.part, row.event, row.pk) for row in alone]
    return Borne(dict(zip(groups, found, strict=True)))


def _row(pk: int, accession: int, part: int, event: int) -> SpecimenRow:
    return SpecimenRow(pk, accession, part, event, NONE, NONE)


def used_groups() -> Iterator[tuple[int, Group]]:
    """Of each use that was made and not voided, the material: what was used, and what that was taken from or pooled of.
    One query."""
    step = _STEP_OF_SQLITE if connection.vendor == "sqlite" else _STEP
    for use, *group in select(_USED % step):
        yield use, Group(*group)
