"""Distinct combinations of row numbers: judged once, then gathered."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from governance.engine.tables import IntColumn, LongColumn

_DENSE_LIMIT = 50_000_000
"""So many combinations at most are counted in a table, which takes 8 bytes for each: 400 MB."""
_DENSE_A_ROW = 32
"""So many combinations a row at most: to fill a table of mostly nothing takes longer than to sort a few rows."""
_KEY_LIMIT = 2**62


def distinct(columns: Sequence[IntColumn]) -> tuple[IntColumn, IntColumn]:
    """Distinct rows of equally long columns of numbers from -1 on.

    Where few combinations are possible they are counted in a table rather than sorted.

    Args:
        columns: at least one, shape (n_rows,) each.

    Returns:
        example: int64, shape (n_distinct,), the first row of each distinct combination, ordered by the columns.
        number: int32, shape (n_rows,), for each row the place of its combination in example.

    >>> example, number = distinct([np.array([7, -1, 7]), np.array([0, 0, 0])])
    >>> example.tolist(), number.tolist()
    ([1, 0], [1, 0, 1])
    >>> [column.tolist() for column in distinct([np.zeros(0, np.int32)])]
    [[], []]
    """
    key, size = _key(columns)
    if size <= min(_DENSE_LIMIT, _DENSE_A_ROW * len(key)):
        return _by_table(key, size)
    _, example, number = np.unique(key, return_index=True, return_inverse=True)
    return example.astype(np.int64), number.reshape(-1).astype(np.int32)


def _key(columns: Sequence[IntColumn]) -> tuple[LongColumn, int]:
    """One number a combination, in the order of the columns, and how many numbers are possible."""
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


def _by_table(key: LongColumn, size: int) -> tuple[IntColumn, IntColumn]:
    """Without sorting: two tables as long as there are possible numbers."""
    example_of = np.full(size, -1, np.int32)
    example_of[key[::-1]] = np.arange(len(key) - 1, -1, -1, dtype=np.int32)
    present = np.flatnonzero(example_of >= 0)
    number_of = np.empty(size, np.int32)
    number_of[present] = np.arange(len(present), dtype=np.int32)
    return example_of[present].astype(np.int64), number_of[key]
