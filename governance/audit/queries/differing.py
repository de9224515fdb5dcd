"""What differs between two answers of a question: rows that came, rows that went, rows that say something else.

Rows are matched by their keys. Of each row of the first answer only a hash is held, so two answers of a million rows
are compared in the memory of a million hashes, not of two million rows.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from typing import Final

from governance.audit.asking import Answer, Cell, Linked, Plain, Row

MOST_LISTED: Final = 200
"""Rows of each sort that are shown; all are counted."""

_HASH_BYTES: Final = 16


@dataclass(frozen=True)
class Changed:
    """A row that is in both answers and says something else. differing: the places of the cells that do, from 0."""

    then: Row
    now: Row
    differing: tuple[int, ...]


@dataclass
class Difference:
    """What differs. Counts are whole; the rows are the first of each sort, at most as many as was asked for."""

    added: list[Row] = field(default_factory=list)
    gone: list[Row] = field(default_factory=list)
    changed: list[Changed] = field(default_factory=list)
    added_count: int = 0
    gone_count: int = 0
    changed_count: int = 0
    is_sentence_other: bool = False

    @property
    def is_any(self) -> bool:
        return bool(self.added_count or self.gone_count or self.changed_count or self.is_sentence_other)

    @property
    def is_cut(self) -> bool:
        """Whether more differs than is listed."""
        listed = len(self.added), len(self.gone), len(self.changed)
        return listed != (self.added_count, self.gone_count, self.changed_count)


Ask = Callable[[], Answer]
Within = AbstractContextManager[None]


def difference(then: Answer, now: Answer, most: int = MOST_LISTED) -> Difference:
    """What differs between two answers whose rows can be read at the same time: such as of two days in the world."""
    return difference_between(lambda: then, lambda: now, most=most)


def difference_between(
    then: Ask, now: Ask, within: Callable[[], Within] = nullcontext, most: int = MOST_LISTED
) -> Difference:
    """The same for an answer whose rows can be read only inside a context: that of an earlier moment.

    Args:
        then, now: ask the question. then is asked twice, each time inside ``within()``: for the hashes of its rows, and
            for the rows themselves of those few that are shown.
        most: rows of each sort that are listed.
    """
    with within():
        before = then()
        hashes = {key: digest for key, digest, _row in _hashed(before)}
    found, after = Difference(), now()
    found.is_sentence_other = str(before.sentence) != str(after.sentence)
    others = _read_now(after, hashes, found, most)
    found.gone_count = len(hashes)
    if others or hashes:
        with within():
            _read_then(then(), set(hashes), others, found, most)
    return found


def _read_now(answer: Answer, hashes: dict[str, bytes], found: Difference, most: int) -> dict[str, Row]:
    """Count what came and what differs; the rows that differ and are to be shown. What stays in ``hashes`` went."""
    others: dict[str, Row] = {}
    for key, digest, row in _hashed(answer):
        before = hashes.pop(key, None)
        if before is None:
            found.added_count += 1
            if len(found.added) < most:
                found.added.append(row)
        elif before != digest:
            found.changed_count += 1
            if len(others) < most:
                others[key] = row
    return others


def _read_then(answer: Answer, gone: set[str], others: dict[str, Row], found: Difference, most: int) -> None:
    """The rows of the first answer that are shown: in its order, read no further than they go."""
    gone_wanted, others_wanted = min(most, len(gone)), len(others)
    for row in answer.rows:
        if row.key in gone and len(found.gone) < gone_wanted:
            found.gone.append(row)
        elif row.key in others:
            found.changed.append(_changed(row, others[row.key]))
        if len(found.gone) == gone_wanted and len(found.changed) == others_wanted:
            break


def _changed(then: Row, now: Row) -> Changed:
    pairs = zip(then.cells, now.cells, strict=True)
    return Changed(then, now, tuple(n for n, (old, new) in enumerate(pairs) if plain(old) != plain(new)))


def plain(cell: Cell) -> Plain:
    """What a cell says; where its link leads is no part of it."""
    return cell.value if isinstance(cell, Linked) else cell


def _hashed(answer: Answer) -> Iterator[tuple[str, bytes, Row]]:
    for row in answer.rows:
        yield row.key, digest_of(row), row


def digest_of(row: Row) -> bytes:
    """A hash over what the cells say, each with its type: 1 and "1" differ."""
    told = "\x1f".join(f"{type(value).__name__}:{value}" for value in map(plain, row.cells))
    return hashlib.blake2b(told.encode(), digest_size=_HASH_BYTES).digest()
