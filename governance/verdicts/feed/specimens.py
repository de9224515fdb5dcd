"""Specimens by a plain cursor, with only the columns that some paper asks about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from governance.engine.tables import UNBOUNDED, BoolColumn, IntColumn, LongColumn
from governance.verdicts.feed.rows import select, select_by_keys

_ABOUT: Final = re.compile(r"(?:ca\.?|c\.|circa|about|approx\.?|approximately|~)\s*([0-9]{1,9})", re.IGNORECASE)


@dataclass(frozen=True)
class Asked:
    """Which columns some paper asks about. percent: how far an approximate count reaches, None for no bound."""

    sexes: bool = False
    life_stages: bool = False
    counts: bool = False
    percent: int | None = None


@dataclass(frozen=True)
class SpecimenRows:
    """Keys of specimens, ascending, and what they point at, shape (n,) each; -1 for no part and no delivery.

    sex, life_stage: row of their texts. count_low, count_high, count_assumed: as in the engine.
    """

    ids: LongColumn
    accession: LongColumn
    part: LongColumn
    delivery: LongColumn
    event: LongColumn
    name: LongColumn
    sex: IntColumn
    life_stage: IntColumn
    sex_texts: list[str]
    stage_texts: list[str]
    count_low: LongColumn
    count_high: LongColumn
    count_assumed: BoolColumn

    def __len__(self) -> int:
        return len(self.ids)


_KEYS: Final = ("id", "accession_id", "COALESCE(part_id, -1)", "COALESCE(delivery_id, -1)", "event_id", "name_id")


def specimen_rows(ids: LongColumn | None, asked: Asked) -> SpecimenRows:
    """Read specimens; ids None for all of them."""
    sexes, stages = _Texts(), _Texts()
    columns = list(_KEYS)
    if asked.counts:
        columns += ["count_low", f"COALESCE(count_high, {int(UNBOUNDED)})", "CASE WHEN count_assumed THEN 1 ELSE 0 END"]
    texts = [(column, table) for column, table, wanted in
             (("sex", sexes, asked.sexes), ("life_stage", stages, asked.life_stages)) if wanted]  # fmt: skip
    width = len(columns)
    found = _select(ids, [*columns, *(column for column, _ in texts)])
    flat = np.fromiter(_flat(found, width, [table for _, table in texts]), np.int64)
    table = flat.reshape(-1, width + len(texts))
    table = table[np.argsort(table[:, 0], kind="stable")] if ids is not None else table
    return _rows(table, asked, sexes, stages)


def _select(ids: LongColumn | None, columns: Iterable[str]) -> Iterator[tuple[Any, ...]]:
    sql = f"SELECT {', '.join(columns)} FROM material_specimen"
    return select(f"{sql} ORDER BY id") if ids is None else select_by_keys(f"{sql} WHERE id IN", ids.tolist())


class _Texts:
    """Numbers of distinct texts."""

    def __init__(self) -> None:
        self.numbers: dict[str, int] = {"": 0}

    def number(self, text: str) -> int:
        return self.numbers.setdefault(text, len(self.numbers))


def _flat(rows: Iterable[tuple[Any, ...]], width: int, texts: list[_Texts]) -> Iterator[int]:
    """All numbers one after the other; texts by their number."""
    for row in rows:
        yield from row[:width]
        for text, table in zip(row[width:], texts, strict=True):
            yield table.number(text)


def _rows(table: LongColumn, asked: Asked, sexes: _Texts, stages: _Texts) -> SpecimenRows:
    count = len(table)
    one = np.ones(count, np.int64)
    low, high, assumed = (table[:, 6], table[:, 7], table[:, 8].astype(bool)) if asked.counts else (one, one, one < 0)
    first_text = 9 if asked.counts else 6
    nothing = np.zeros(count, np.int32)
    sex = table[:, first_text].astype(np.int32) if asked.sexes else nothing
    stage = table[:, first_text + int(asked.sexes)].astype(np.int32) if asked.life_stages else nothing
    ids = table[:, 0]
    if asked.counts and asked.percent is not None:
        low, high = _with_approximate(ids, low, high, asked.percent)
    return SpecimenRows(
        ids, table[:, 1], table[:, 2], table[:, 3], table[:, 4], table[:, 5], sex, stage, list(sexes.numbers),
        list(stages.numbers), low, high, assumed,
    )  # fmt: skip


def _with_approximate(
    ids: LongColumn, low: LongColumn, high: LongColumn, percent: int
) -> tuple[LongColumn, LongColumn]:
    """By house rule "ca. 400" is 400 give or take so many percent, rounded outward."""
    low, high = low.copy(), high.copy()
    sql = "SELECT id, count_range FROM material_specimen WHERE count_high IS NULL AND count_range <> ''"
    for pk, text in select(sql):
        about = _ABOUT.fullmatch(text.strip())
        row = int(np.searchsorted(ids, pk))
        if about and row < len(ids) and ids[row] == pk:
            number = int(about[1])
            low[row], high[row] = number * (100 - percent) // 100, -(-number * (100 + percent) // 100)
    return low, high
