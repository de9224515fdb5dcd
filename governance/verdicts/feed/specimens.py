"""Specimens by a plain cursor, with only the columns that some paper asks about."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from governance.engine.tables import UNBOUNDED, BoolColumn, IntColumn, LongColumn
from governance.verdicts.feed.rows import Block, block_numbers, select, select_blocks, select_blocks_by_keys

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


_Reader = Callable[[Iterable[str]], list[int]]

_KEYS: Final = ("id", "accession_id", "COALESCE(part_id, -1)", "COALESCE(delivery_id, -1)", "event_id", "name_id")
_COUNTS: Final = ("count_low", f"COALESCE(count_high, {int(UNBOUNDED)})", "CASE WHEN count_assumed THEN 1 ELSE 0 END")


def specimen_rows(ids: LongColumn | None, asked: Asked) -> SpecimenRows:
    """Read specimens; ids None for all of them."""
    sexes, stages = _Texts(), _Texts()
    whole = [*_KEYS, *(_COUNTS if asked.counts else ())]
    texts = [(column, table) for column, table, wanted in
             (("sex", sexes, asked.sexes), ("life_stage", stages, asked.life_stages)) if wanted]  # fmt: skip
    columns = [*whole, *(column for column, _ in texts)]
    sql = f"SELECT {', '.join(columns)} FROM material_specimen"
    blocks = select_blocks(f"{sql} ORDER BY id") if ids is None else select_blocks_by_keys(f"{sql} WHERE id IN", ids)
    table = _table(blocks, len(whole), [table.numbers for _, table in texts])
    table = table[np.argsort(table[:, 0], kind="stable")] if ids is not None else table
    return _rows(table, asked, sexes, stages)


class _Texts:
    """Numbers of distinct texts."""

    def __init__(self) -> None:
        self.number_of: dict[str, int] = {"": 0}

    def numbers(self, texts: Iterable[str]) -> list[int]:
        return [self.number_of.setdefault(text, len(self.number_of)) for text in texts]


def _table(blocks: Iterable[Block], whole: int, readers: Sequence[_Reader]) -> LongColumn:
    """Rows as numbers, shape (n_rows, n_columns): some that are whole numbers, then texts by their number."""
    if not readers:
        return block_numbers(blocks, whole)
    return block_numbers((_numbered(block, whole, readers) for block in blocks), whole + len(readers))


def _numbered(rows: Block, whole: int, readers: Sequence[_Reader]) -> Block:
    columns = list(zip(*rows, strict=True))
    texts = [read(column) for read, column in zip(readers, columns[whole:], strict=True)]
    return list(zip(*columns[:whole], *texts, strict=True))


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
        ids, table[:, 1], table[:, 2], table[:, 3], table[:, 4], table[:, 5], sex, stage, list(sexes.number_of),
        list(stages.number_of), low, high, assumed,
    )  # fmt: skip


def _with_approximate(
    ids: LongColumn, low: LongColumn, high: LongColumn, percent: int
) -> tuple[LongColumn, LongColumn]:
    """By house rule "ca. 400" is 400 give or take so many percent, rounded outward."""
    low, high = low.copy(), high.copy()
    sql = "SELECT id, count_range FROM material_specimen WHERE count_high IS NULL AND count_range <> ''"
    for pk, text in select(sql):
        bounds = approximate(text, percent)
        row = int(np.searchsorted(ids, pk))
        if bounds and row < len(ids) and ids[row] == pk:
            low[row], high[row] = bounds
    return low, high


def approximate(count_range: str, percent: int) -> tuple[int, int] | None:
    """Bounds of an approximate count by the house rule; None where the text is none.

    >>> approximate("ca. 50", 25), approximate("50", 25)
    ((37, 63), None)
    """
    about = _ABOUT.fullmatch(count_range.strip())
    if about is None:
        return None
    number = int(about[1])
    return number * (100 - percent) // 100, -(-number * (100 + percent) // 100)
