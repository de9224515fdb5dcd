"""Distinct combinations of row numbers: judged once, then gathered."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from governance.engine.tables import IntColumn

_DENSE_LIMIT = 50_000_000
_KEY_LIMIT = 2**62


def distinct(columns: Sequence[npt.NDArray[np.int32]]) -> tuple[IntColumn, IntColumn]:
    """Distinct rows of equally long columns of numbers from -1 on.

    Returns: the place of one example of each distinct row, ordered by the columns; and for each row the number of its
    distinct row. Where few combinations are possible they are counted in a table rather than sorted.
    """
    key, size = _key(columns)
    if size <= _DENSE_LIMIT:
        return _by_table(key, size)
    _, example, number = np.unique(key, return_index=True, return_inverse=True)
    return example.astype(np.int64), number.reshape(-1).astype(np.int32)


def _key(columns: Sequence[npt.NDArray[np.int32]]) -> tuple[npt.NDArray[np.int64], int]:
    key = np.zeros(len(columns[0]), np.int64)
    size = 1
    for column in columns:
        width = int(column.max(initial=-1)) + 2
        if size * width > _KEY_LIMIT:
            names, number = np.unique(key, return_inverse=True)
            key, size = number.reshape(-1).astype(np.int64), len(names)
        key *= width
        key += column
        key += 1
        size *= width
    return key, size


def _by_table(key: npt.NDArray[np.int64], size: int) -> tuple[IntColumn, IntColumn]:
    example_of = np.full(size, -1, np.int32)
    example_of[key[::-1]] = np.arange(len(key) - 1, -1, -1, dtype=np.int32)
    present = np.flatnonzero(example_of >= 0)
    number_of = np.empty(size, np.int32)
    number_of[present] = np.arange(len(present), dtype=np.int32)
    return example_of[present].astype(np.int64), number_of[key]
