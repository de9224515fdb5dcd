"""Plain rows by a plain cursor: a million of them become columns without a model object each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, islice
from typing import Any

import numpy as np
from django.db import connection

from governance.engine.tables import LongColumn

AT_ONCE = 500
"""Keys in one statement; SQLite allows 32,766 parameters, older ones 999."""

_FETCHED = 2_000
"""Rows in one fetch: so few that their tuples are used again for the next ones, which takes a third less time."""


Block = list[tuple[Any, ...]]
"""Some rows of a query."""


def select_blocks(sql: str, parameters: Sequence[Any] = ()) -> Iterator[Block]:
    """The rows of a query in blocks, as they are fetched.

    Args:
        sql: written by the caller, with ``%s`` for each of the parameters; it never holds text from outside.
    """
    with connection.chunked_cursor() as cursor:
        cursor.execute(sql, parameters)
        while rows := cursor.fetchmany(_FETCHED):
            yield list(rows)


def select_blocks_by_keys(sql: str, keys: Iterable[Any]) -> Iterator[Block]:
    """The rows of a query that ends in ``IN``, for many keys, in the order of the slices of keys."""
    listed = keys.tolist() if isinstance(keys, np.ndarray) else keys
    for some in slices(listed):
        yield from select_blocks(f"{sql} ({', '.join(['%s'] * len(some))})", some)


def select(sql: str, parameters: Sequence[Any] = ()) -> Iterator[tuple[Any, ...]]:
    """The rows of a query one by one."""
    return chain.from_iterable(select_blocks(sql, parameters))


def select_by_keys(sql: str, keys: Iterable[Any]) -> Iterator[tuple[Any, ...]]:
    """The same for a query that ends in ``IN``."""
    return chain.from_iterable(select_blocks_by_keys(sql, keys))


def slices(keys: Iterable[Any], size: int = AT_ONCE) -> Iterator[list[Any]]:
    """The keys in lists of at most ``size``."""
    rest = iter(keys)
    while some := list(islice(rest, size)):
        yield some


def numbers(rows: Iterable[tuple[Any, ...]], width: int) -> LongColumn:
    """Rows of whole numbers as int64, shape (n_rows, width)."""
    flat = np.fromiter(chain.from_iterable(rows), np.int64)
    return flat.reshape(-1, width)


def block_numbers(blocks: Iterable[Block], width: int) -> LongColumn:
    """The same for rows in blocks, as ``select_blocks`` finds them."""
    return numbers(chain.from_iterable(blocks), width)


def positions(keys: LongColumn, wanted: LongColumn) -> LongColumn:
    """Where each wanted key stands among the keys, which are ascending; every one must be there."""
    return np.searchsorted(keys, wanted)
