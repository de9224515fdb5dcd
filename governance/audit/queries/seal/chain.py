"""The chain, entry by entry: each follows from the one before it, and its row says what the entry says.

The first holds for every entry, so nobody can put another hash into the chain without writing all that follow anew, and
with them the head. The second holds for the newest entry of each row. After an entry that does not come out the check
goes on from what is stored, so each altered row is named by itself and does not cast doubt on those after it.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db import connection
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.models import PersonalSalt, Seal, SealHead, SealShape, Write
from accessions.people.seal_shapes import Shape, among, gone_text, personal_hash, rows_of, writer_of
from accessions.people.sealing import shape_from
from governance.audit.models import Minimisation
from governance.audit.queries.seal.naming import called, table_name
from governance.audit.queries.seal.problems import Problem, ProblemKind, Problems
from governance.audit.sealed_tables import WRITTEN_ONCE, models_by_table

ENTRIES_AT_ONCE: Final = 5_000
_AGENT_OF: Final = {
    "people_historicalagent": "id", "people_historicalagentname": "agent_id", "people_historicaluser": "agent_id",
}  # fmt: skip
"""By table with personal columns, the column of the agent whose data they are."""

Step = Callable[[str, int, int], None]
"""Told what is done, how far it is, and of how much."""

_OLD: Final = None
"""Stands for a text that cannot be made any more: of a row that has a newer entry."""


_Entry = tuple[int, int, int, bytes, bytes]
"""Number, shape, key of the row, hash of the row's text, hash."""


@dataclass
class ChainFound:
    """entries, sha256: of the chain as it is stored. heads: hashes of the entries that were asked for, by number."""

    entries: int = 0
    sha256: bytes = bytes(32)
    heads: dict[int, str] = field(default_factory=dict)


def check_chain(problems: Problems, wanted: set[int], step: Step) -> ChainFound:
    """Walk the whole chain. wanted: numbers of entries whose hashes are to be returned in ``heads``."""
    return _Walk(problems, wanted, step).walk()


class _Walk:
    def __init__(self, problems: Problems, wanted: set[int], step: Step) -> None:
        self._problems, self._wanted, self._step = problems, wanted, step
        self._shapes = {row.pk: shape_from(row) for row in SealShape.objects.all()}
        self._writers = {pk: writer_of(shape) for pk, shape in self._shapes.items()}
        self._unreadable = self._missing_columns()
        self._once = {pk for pk, shape in self._shapes.items() if shape.table in WRITTEN_ONCE}
        self._models = models_by_table()
        self._minimised = set(Minimisation.objects.values_list("agent", flat=True))
        self._found = ChainFound()
        self._previous: bytes | None = bytes(32)
        self._newest: dict[int, dict[int, int]] = {}

    def walk(self) -> ChainFound:
        head = SealHead.objects.first()
        total = head.number if head else 0
        while entries := self._next():
            texts = self._texts(entries)
            for entry in entries:
                self._check(entry, texts)
            self._step(_("Checking the chain"), self._found.entries, total)
        self._check_end(head)
        return self._found

    def _next(self) -> list[_Entry]:
        rows = Seal.objects.filter(number__gt=self._found.entries).order_by("number")
        entries = rows.values_list("number", "shape", "row", "text_sha256", "sha256")[:ENTRIES_AT_ONCE]
        return [(number, shape, row, bytes(told), bytes(sha256)) for number, shape, row, told, sha256 in entries]

    def _check(self, entry: _Entry, texts: Mapping[tuple[int, int], Any]) -> None:
        number, shape, row, told, stored = entry
        if number != self._found.entries + 1:
            self._gap(self._found.entries + 1, number - 1)
        if self._previous is not None and hashlib.sha256(self._previous + told).digest() != stored:
            self._unlinked(number, shape, row)
        if shape in self._once and not self._is_newest(entry) and not self._is_removed(shape, row):
            what = _("it is written once, but has another entry after %(number)s.")
            self._tell(ProblemKind.ALTERED, number, shape, row, what)
        text = texts.get((shape, row), b"") if self._is_newest(entry) else _OLD
        if text is not _OLD:
            self._compare(entry, text)
        if number in self._wanted:
            self._found.heads[number] = stored.hex()
        self._previous, self._found.entries, self._found.sha256 = stored, number, stored

    def _compare(self, entry: _Entry, text: bytes) -> None:
        """text: b"" if the row is not there, which is right only if that was sealed."""
        number, shape, row, told, _stored = entry
        if not text:
            if hashlib.sha256(gone_text(self._shapes[shape], row)).digest() != told:
                self._gone(number, shape, row)
        elif hashlib.sha256(text).digest() != told:
            self._altered(number, shape, row)

    def _texts(self, entries: Sequence[_Entry]) -> dict[tuple[int, int], Any]:
        """The text of each row as it is now, by shape and key; ``_OLD`` where it cannot be made."""
        keys: dict[int, set[int]] = defaultdict(set)
        for _number, pk, row, _told, _sha256 in entries:
            keys[pk].add(row)
        texts: dict[tuple[int, int], Any] = {}
        self._newest = {}
        for pk, rows in keys.items():
            shape = self._shapes.get(pk)
            if shape is None:
                self._shapeless(pk, len(rows))
            if shape is None or pk in self._unreadable:
                texts |= dict.fromkeys(((pk, row) for row in rows), _OLD)
                continue
            if shape.is_state:
                self._newest[pk] = self._newest_entries(shape.table, rows)
            written = self._writers[pk]
            found = self._salted(shape, rows) if shape.personal else rows_of(shape, rows)
            texts |= {(pk, key): written(key, cells) for key, cells in found.items()}
        return texts

    def _is_newest(self, entry: _Entry) -> bool:
        """Rows of a history have one entry; of a row that is sealed by its state the newest counts."""
        newest = self._newest.get(entry[1])
        return newest is None or newest.get(entry[2]) == entry[0]

    def _is_removed(self, shape: int, row: int) -> bool:
        """Whether the newest entry of a row says that it went."""
        told = Seal.objects.filter(number=self._newest[shape][row]).values_list("text_sha256", flat=True).get()
        return bytes(told) == hashlib.sha256(gone_text(self._shapes[shape], row)).digest()

    def _newest_entries(self, table: str, rows: set[int]) -> dict[int, int]:
        shapes = [pk for pk, shape in self._shapes.items() if shape.table == table]
        with connection.cursor() as cursor:
            cursor.execute(
                f"SELECT {connection.ops.quote_name('row')}, max(number) FROM people_seal "
                f"WHERE {among('shape_id', shapes)} AND {among(connection.ops.quote_name('row'), rows)} "
                f"GROUP BY {connection.ops.quote_name('row')}"
            )
            return dict(cursor.fetchall())

    def _salted(self, shape: Shape, rows: set[int]) -> dict[int, tuple[Any, ...]]:
        """The rows with hashes in the place of what tells of a person, and whether salts and values agree."""
        salts: dict[int, dict[str, tuple[Any, Any]]] = defaultdict(dict)
        for row, column, salt, sha256 in PersonalSalt.objects.filter(shape=shape.pk, row__in=rows).values_list(
            "row", "column", "salt", "sha256"
        ):
            salts[row][column] = salt, sha256
        found = rows_of(shape, rows, _AGENT_OF.get(shape.table, shape.key))
        return {key: self._hashed(shape, key, cells, salts[key]) for key, cells in found.items()}

    def _hashed(self, shape: Shape, key: int, cells: tuple[Any, ...], salts: Mapping[str, Any]) -> tuple[Any, ...]:
        hashed = list(cells[: len(shape.columns)])
        for place, (name, _kind) in enumerate(shape.columns):
            if name not in shape.personal or (cells[place] is None and name not in salts):
                continue
            salt, sha256 = salts.get(name, (None, None))
            if salt is not None:
                hashed[place] = personal_hash(bytes(salt), str(cells[place]))
            else:
                hashed[place] = bytes(sha256).hex() if sha256 is not None else ""
                if sha256 is None or cells[-1] not in self._minimised or not _is_blank(cells[place], cells[-1]):
                    self._salt_gone(shape, key, name)
        return tuple(hashed)

    def _missing_columns(self) -> set[int]:
        """Shapes whose table or columns are not there any more: their entries cannot be recomputed."""
        there = _columns_of({shape.table for shape in self._shapes.values()})
        unreadable = set()
        for pk, shape in self._shapes.items():
            missing = {name for name, _kind in shape.columns} - there.get(shape.table, set())
            if shape.table not in there or missing:
                unreadable.add(pk)
                what = _("the register has no column any more that entries cover: %(names)s. They cannot be checked.")
                names = ", ".join(sorted(missing)) or shape.table
                self._problems.add(Problem(ProblemKind.CHAIN, table_name(shape.table), "", what % {"names": names}, pk))
        return unreadable

    def _named(self, shape: int, row: int, kind: ProblemKind) -> tuple[str, str]:
        """Table and record of an entry, in words."""
        table = self._shapes[shape].table if shape in self._shapes else str(shape)
        words = table_name(table)
        model = self._models.get(table)
        if model is None or not self._problems.has_room(kind, words):
            return words, str(row)
        return words, called(model, row)

    def _altered(self, number: int, shape: int, row: int) -> None:
        what = _("it is not as it was sealed (entry %(number)s): the row was changed, or the entry was.")
        self._tell(ProblemKind.ALTERED, number, shape, row, what)

    def _unlinked(self, number: int, shape: int, row: int) -> None:
        what = _("entry %(number)s of the chain does not follow from the one before it: the entry was changed.")
        self._tell(ProblemKind.CHAIN, number, shape, row, what)

    def _shapeless(self, shape: int, rows: int) -> None:
        what = ngettext(
            "shape %(shape)s, by which %(rows)s row was sealed, is not there any more: it cannot be checked.",
            "shape %(shape)s, by which %(rows)s rows were sealed, is not there any more: they cannot be checked.", rows,
        )  # fmt: skip
        self._chain(what % {"shape": shape, "rows": rows})

    def _gone(self, number: int, shape: int, row: int) -> None:
        self._tell(
            ProblemKind.GONE, number, shape, row, _("it was sealed as entry %(number)s and is not there any more.")
        )

    def _salt_gone(self, shape: Shape, row: int, column: str) -> None:
        what = _("the value of “%(column)s” was taken out, or its salt was.") % {"column": column}
        words, record = self._named(shape.pk, row, ProblemKind.PERSON)
        self._problems.add(Problem(ProblemKind.PERSON, words, record, what, row))

    def _tell(self, kind: ProblemKind, number: int, shape: int, row: int, what: str) -> None:
        words, record = self._named(shape, row, kind)
        self._problems.add(Problem(kind, words, record, what % {"number": intcomma(number)}, row))

    def _gap(self, first: int, last: int) -> None:
        what = ngettext(
            "entry %(first)s of the chain is missing.", "entries %(first)s to %(last)s of the chain are missing.",
            last - first + 1,
        )  # fmt: skip
        self._chain(what % {"first": intcomma(first), "last": intcomma(last)})
        self._previous = None

    def _check_end(self, head: SealHead | None) -> None:
        number, sha256 = (head.number, bytes(head.sha256)) if head else (0, bytes(32))
        if number > self._found.entries:
            self._gap(self._found.entries + 1, number)
        elif (number, sha256) != (self._found.entries, self._found.sha256):
            what = _("its end is entry %(last)s, but the register keeps %(head)s as its head.")
            self._chain(what % {"last": intcomma(self._found.entries), "head": intcomma(number)})
        stray = Write.objects.exclude(number__in=Seal.objects.values("number")).count()
        if stray:
            self._chain(_("%(count)s writes are on record that the chain does not know.") % {"count": stray})

    def _chain(self, what: str) -> None:
        self._problems.add(Problem(ProblemKind.CHAIN, _("chain of the seal"), "", what))


def _is_blank(value: Any, agent: Any) -> bool:
    """Whether nothing of a person stands there any more: blank, or a word and the agent's key, as minimising leaves."""
    word, _space, key = str(value or "").rpartition(" ")
    return value in (None, "") or (key == str(agent) and len(word.split()) == 1)


def _columns_of(tables: Iterable[str]) -> dict[str, set[str]]:
    """The columns of those of the tables that the database has."""
    with connection.cursor() as cursor:
        known = set(connection.introspection.table_names(cursor))
        columns = {}
        for table in known.intersection(tables):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)} LIMIT 0")
            columns[table] = {column[0] for column in cursor.description}
    return columns
