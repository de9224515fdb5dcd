"""Rows announced to the seal where they are written, and sealed right after their transaction is committed.

What is announced in a transaction that is rolled back is forgotten with it. Nothing is asked of the database before
the commit: a change takes no longer, and holds no lock of the chain, while a person's transaction is open.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator
from typing import Any

from django.db import connections, models, transaction
from django.db.utils import DEFAULT_DB_ALIAS

_log = logging.getLogger("accessions.people.seal")

Told = tuple[type[models.Model], int]
"""A row by its model and key."""


class Announced:
    """The rows of one transaction in the order in which they were announced; neighbours are kept as one stretch, so
    that a file of a million rows takes a few words."""

    def __init__(self) -> None:
        self._stretches: list[tuple[type[models.Model], int, int]] = []
        self._highest: dict[type[models.Model], int] = {}
        self._keys: dict[type[models.Model], set[int]] = {}
        self.gone: set[Told] = set()
        self.by: Any = None
        self.is_committed = False

    def add(self, model: type[models.Model], keys: Iterable[int], by: Any = None) -> None:
        """Each row once. by: who did it; the first that is told counts."""
        self.by = self.by or by
        for key in keys:
            if self._is_new(model, key):
                self._append(model, key)

    def _is_new(self, model: type[models.Model], key: int) -> bool:
        """Keys of a table come in their order, so most need no look. Others do: a row that is sealed by its state is
        told again, and SQLite gives the key of a row that was taken back to the next one."""
        if key > self._highest.get(model, -1):
            self._highest[model] = key
            return True
        if model not in self._keys:
            own = (range(first, last + 1) for of, first, last in self._stretches if of is model)
            self._keys[model] = {known for stretch in own for known in stretch}
        return key not in self._keys[model]

    def _append(self, model: type[models.Model], key: int) -> None:
        if model in self._keys:
            self._keys[model].add(key)
        if self._stretches:
            of, first, last = self._stretches[-1]
            if of is model and key == last + 1:
                self._stretches[-1] = of, first, key
                return
        self._stretches.append((model, key, key))

    def __len__(self) -> int:
        return sum(last - first + 1 for _, first, last in self._stretches)

    def __iter__(self) -> Iterator[Told]:
        for model, first, last in self._stretches:
            for key in range(first, last + 1):
                yield model, key

    def seal(self) -> None:
        """Called by the database layer after the commit. A failure is written to the log and is no error of the person
        whose change is committed: ``verify_seal`` finds the rows, ``seal_late`` seals them."""
        from accessions.people.sealing import seal

        self.is_committed = True
        try:
            seal(self)
        except Exception:
            _log.exception(
                "%s changed rows have no seal yet. Look for the reason above, then run: manage.py verify_seal",
                len(self),
            )


def announce(model: type[models.Model], keys: Iterable[int], *, by: Any = None) -> None:
    """Rows of a history, or of a table that is sealed by its state, were written in this transaction.

    Keys whose rows are not there after the commit are passed over: a part of the transaction was taken back.
    """
    _announce(model, list(keys), by, is_gone=False)


def announce_gone(model: type[models.Model], keys: Iterable[int], *, by: Any = None) -> None:
    """Rows of a table that is sealed by its state are being deleted in this transaction."""
    _announce(model, list(keys), by, is_gone=True)


def _announce(model: type[models.Model], keys: list[int], by: Any, *, is_gone: bool) -> None:
    connection = connections[DEFAULT_DB_ALIAS]
    waiting = _waiting(connection) if connection.in_atomic_block else Announced()
    if is_gone:
        waiting.gone.update((model, key) for key in keys)
    waiting.add(model, keys, by)
    if not connection.in_atomic_block:  # committed already
        waiting.seal()


def _waiting(connection: Any) -> Announced:
    """What waits for the commit of this transaction.

    Django drops a callback with the part of a transaction in which it was registered. So what was told last counts only
    while its callback is still among those that wait; otherwise a new one begins.
    """
    last: Announced | None = getattr(connection, "announced_to_seal", None)
    waiting = [getattr(each[1], "__self__", None) for each in connection.run_on_commit]
    if last is not None and not last.is_committed and any(one is last for one in waiting):
        return last
    connection.announced_to_seal = new = Announced()
    transaction.on_commit(new.seal, robust=True)
    return new
