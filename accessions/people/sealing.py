"""The chain of the seal: entry n is SHA-256 over entry n-1 and the hash of the text of one row. What it proves and what
not, and how to check it by hand, stands in ``governance/docs/seal.md``.

Writers announce (``announcing``); here the rows are read back after their commit and become entries, all rows of a
transaction after the entry of the ``Write`` that says from where they came. So what stands in the register and was not
announced has no entry.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from typing import Any, Final

from django.db import models, transaction
from django.utils import timezone

from accessions.people.announcing import Announced, Told, announce, announce_gone
from accessions.people.blocks import write_rows
from accessions.people.models import PersonalSalt, Seal, SealHead, SealShape, Write
from accessions.people.origins import origin, writer
from accessions.people.seal_shapes import Shape, gone_text, personal_hash, rows_of, shape_of, writer_of

__all__ = ["Announced", "announce", "announce_gone", "head", "origin_of", "seal"]

ROWS_AT_ONCE: Final = 5_000
"""Rows that are read back, and entries that are held, at once."""
_SALT_BYTES: Final = 16
_WHY_LENGTH: Final = 200


def head() -> tuple[int, str]:
    """Number and hash, in hex, of the newest entry; (0, sixty-four zeros) before the first."""
    number, sha256 = SealHead.objects.values_list("number", "sha256").first() or (0, bytes(32))
    return number, bytes(sha256).hex()


def origin_of(row: models.Model) -> Write | None:
    """The write in which a row of a history came in; None: it has no seal."""
    shapes = SealShape.objects.filter(table=row._meta.db_table)
    number = Seal.objects.filter(shape__in=shapes, row=row.pk).order_by("-number").values_list("number", flat=True)
    return Write.objects.filter(number__lt=number[:1]).order_by("-number").first()


def seal(announced: Iterable[Told], *, by: Any = None, late: str | None = None) -> int:
    """Add the entries of these rows, each of which comes once, in one transaction; how many rows were sealed.

    by: who is signed in, if it is not the one of the request. late: they were found without a seal, and are sealed for
    this reason; those that have an entry by now are passed over.
    """
    person = by or writer() or getattr(announced, "by", None)
    gone: set[Told] = getattr(announced, "gone", set())
    with transaction.atomic():
        chain = Chain(late=late, by=getattr(person, "pk", None))
        rows = iter(announced)
        while some := list(islice(rows, ROWS_AT_ONCE)):
            chain.add_rows(some, gone)
        chain.close()
    return chain.sealed


class Chain:
    """The end of the chain, held until the transaction ends, and what is added to it."""

    def __init__(self, *, by: int | None, late: str | None) -> None:
        self._head = _held_head()
        self._number, self._sha256 = self._head.number, bytes(self._head.sha256)
        self._entries: list[tuple[int, int, int, bytes, bytes]] = []
        self._salts: list[PersonalSalt] = []
        self._shapes: dict[type[models.Model], Shape] = {}
        self._by, self._late = by, late
        self.sealed = 0

    def add_rows(self, told: Sequence[Told], gone: set[Told]) -> None:
        """Entries for these rows, in this order; what is not there is passed over, or sealed as gone."""
        keys: dict[type[models.Model], list[int]] = {}
        for model, key in told:
            keys.setdefault(model, []).append(key)
        self._learn_shapes(keys)
        found = {model: self._found(model, some) for model, some in keys.items()}
        writers = {model: writer_of(self._shapes[model]) for model in keys}
        for model, key in told:
            cells = found[model].get(key)
            if cells is not None:
                self._add_row(self._shapes[model].pk, key, writers[model](key, cells))
            elif (model, key) in gone:
                self._add_row(self._shapes[model].pk, key, gone_text(self._shapes[model], key))
        self._flush()

    def close(self) -> None:
        """Keep the new head."""
        if self._number != self._head.number:
            self._head.number, self._head.sha256 = self._number, self._sha256
            self._head.save(update_fields=["number", "sha256"])

    def _add_row(self, shape: int, key: int, text: bytes) -> None:
        if not self.sealed:
            self._open()
        self._add(shape, key, text)
        self.sealed += 1

    def _open(self) -> None:
        """The write itself, before its first row."""
        late = self._late
        made = Write.objects.create(
            number=self._number + 1, at=timezone.now(), by_id=self._by, origin=origin(), is_late=late is not None,
            why=(late or "")[:_WHY_LENGTH],
        )  # fmt: skip
        self._learn_shapes([Write])
        shape = self._shapes[Write]
        self._add(shape.pk, made.number, writer_of(shape)(made.number, rows_of(shape, [made.number])[made.number]))

    def _add(self, shape: int, key: int, text: bytes) -> None:
        self._number += 1
        told = hashlib.sha256(text).digest()
        self._sha256 = hashlib.sha256(self._sha256 + told).digest()
        self._entries.append((self._number, shape, key, told, self._sha256))

    def _flush(self) -> None:
        write_rows(Seal._meta.db_table, ("number", "shape_id", "row", "text_sha256", "sha256"), self._entries)
        PersonalSalt.objects.bulk_create(self._salts, batch_size=ROWS_AT_ONCE, ignore_conflicts=True)
        self._entries, self._salts = [], []

    def _learn_shapes(self, wanted: Iterable[type[models.Model]]) -> None:
        new = [model for model in wanted if model not in self._shapes]
        if new:
            self._shapes |= kept_shapes(new)

    def _found(self, model: type[models.Model], keys: Sequence[int]) -> Mapping[int, tuple[Any, ...]]:
        shape = self._shapes[model]
        if self._late is not None and not shape.is_state:
            keys = _without_entry(shape, keys)
        found = rows_of(shape, keys)
        return {key: self._salted(shape, key, cells) for key, cells in found.items()} if shape.personal else found

    def _salted(self, shape: Shape, key: int, cells: tuple[Any, ...]) -> tuple[Any, ...]:
        """The cells with hashes in the place of what tells of a person; the salts are kept."""
        hashed = list(cells)
        for place, (name, _kind) in enumerate(shape.columns):
            if name in shape.personal and cells[place] is not None:
                salt = secrets.token_bytes(_SALT_BYTES)
                hashed[place] = personal_hash(salt, cells[place])
                self._salts.append(PersonalSalt(
                    shape_id=shape.pk, row=key, column=name, salt=salt, sha256=bytes.fromhex(hashed[place])
                ))  # fmt: skip
        return tuple(hashed)


def _without_entry(shape: Shape, keys: Sequence[int]) -> Sequence[int]:
    """The head is held, so nobody gives one of them an entry meanwhile."""
    shapes = SealShape.objects.filter(table=shape.table)
    entries = Seal.objects.filter(shape__in=shapes, row__range=(min(keys), max(keys)))
    return sorted(set(keys) - set(entries.order_by().values_list("row", flat=True)))


def _held_head() -> SealHead:
    """The head, locked. Its one row is made when the first change is sealed."""
    rows = SealHead.objects.select_for_update()
    found = rows.first()
    if found is None:
        SealHead.objects.bulk_create([SealHead(pk=1)], ignore_conflicts=True)  # somebody else may be as quick
        found = rows.get()
    return found


def kept_shapes(wanted: Iterable[type[models.Model]]) -> dict[type[models.Model], Shape]:
    """The shapes of these models with their keys; new ones are kept. Within the transaction that holds the head."""
    now = {model: shape_of(model) for model in wanted}
    rows = SealShape.objects.filter(table__in={shape.table for shape in now.values()})
    known = {_as_shape(row): row.pk for row in rows}
    for shape in now.values():
        if shape not in known:
            made = SealShape.objects.create(
                table=shape.table, key=shape.key, columns=[list(one) for one in shape.columns], is_state=shape.is_state
            )
            known[shape] = made.pk
    return {model: replace(shape, pk=known[shape]) for model, shape in now.items()}


def _as_shape(row: SealShape) -> Shape:
    """Without its key, to be held against what a model looks like today."""
    return Shape(row.table, row.key, tuple((name, kind) for name, kind in row.columns), row.is_state)


def shape_from(row: SealShape) -> Shape:
    """A kept shape, as the verifier reads rows by it."""
    return replace(_as_shape(row), pk=row.pk)
