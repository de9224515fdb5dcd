"""What writes: contents with their tables, the words of a language, and where a number leads on a page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from governance.papers.printed.blocks import Line, Para, Text, lines_of
from governance.reports.contents import Composed, Contents, Note, Proof, Row, TableData, Value, rows_behind
from governance.reports.writing.language import ReportWords
from governance.reports.writing.summaries import Number

Link = Callable[[Proof], str]
"""The address of the rows behind a number."""

HINTS: Final = frozenset({"findings_words", "findings_long", "duplicate_told"})
"""Notes to those who write the report, not to its readers."""

_NUMBERED: Final = ("n", "count", "number")
"""Values of a sentence that its proof proves, the first that is there."""


@dataclass(frozen=True)
class Pen:
    """Writes one report in one language. most: rows of a table that are told; of the others that they are there. draft:
    with the hints to those who write it."""

    composed: Composed
    w: ReportWords
    link: Link | None = None
    most: int = 40
    draft: bool = False
    _kept: dict[object, Any] = field(default_factory=dict)

    @property
    def contents(self) -> Contents:
        return self.composed.contents

    def table(self, key: str) -> TableData | None:
        """A table that the report has, its rows in memory: they are gone through many times."""
        table = self.composed.tables.get(key)
        if table is None or isinstance(table.rows, list):
            return table
        if key not in self._kept:
            self._kept[key] = TableData(table.key, table.columns, _in_memory(table.rows))
        found: TableData = self._kept[key]
        return found

    def count(self, key: str, **where: Value) -> Number | None:
        """How many rows of a table meet a condition; None where the report has no such table."""
        table = self.table(key)
        if table is None:
            return None
        proof = Proof(key, where)
        if len(where) != 1:
            return Number(str(len(rows_behind(proof, table))), proof)
        ((column, value),) = where.items()
        if (key, column) not in self._kept:
            place = table.place(column)
            self._kept[key, column] = Counter(row[place] for row in table.rows)
        return Number(str(self._kept[key, column][value]), proof)

    def once(self, key: object, worked_out: Callable[[], Any]) -> Any:
        """Something that is worked out once a report."""
        if key not in self._kept:
            self._kept[key] = worked_out()
        return self._kept[key]

    def number(self, number: Number, *, role: str = "") -> Text:
        """A number that leads to its rows; nothing leads to no rows."""
        return Text(self.w.amount(number.value), role=role, href=self.href(number.proof, number.value))

    def href(self, proof: Proof | None, value: str = "") -> str:
        """Where a proof leads on a page, "" for nowhere: in a file, and of nothing."""
        return self.link(proof) if self.link and proof and value != "0" else ""

    def told(self, key: str, number: Number, **values: Value) -> Line:
        """A sentence of the words around a proved number, which is its ``n``."""
        return self._line("words", key, {"n": int(number.value), **values}, number.proof)

    def opened(self, key: str, proof: Proof, **values: Value) -> Line:
        """A sentence of the words whose sheet leads to the rows."""
        href = self.href(proof)
        return tuple(
            Text(text, href=href if name == "sheet" else "") for text, name in self.w.pieces("words", key, values)
        )

    def note(self, note: Note) -> Line:
        """A note as a sentence; one without a number says that there are no rows, so it leads to none."""
        return self._line("notes", note.key, note.values, note.proof if "n" in note.values else None)

    def _line(self, group: str, key: str, values: Mapping[str, object], proof: Proof | None) -> Line:
        pieces = list(self.w.pieces(group, key, values))
        names = [name for _text, name in pieces]
        proved = next((name for name in _NUMBERED if name in names), None)
        href = self.href(proof, str(values.get(proved, "")) if proved else "")
        if proved is None and href:
            return tuple(Text(text, href=href) for text, _name in pieces)
        return tuple(_run(text, name == proved, href) for text, name in pieces)

    def notes_of(self, part: str) -> list[Note]:
        """The notes of a part; hints to those who write only in a draft."""
        return [note for note in self.contents.notes if note.part == part and (self.draft or note.key not in HINTS)]

    def notes(self, part: str) -> list[Para]:
        """The same, a paragraph each, on one page with what they tell of."""
        return [Para(self.note(note), keep=True) for note in self.notes_of(part)]

    def open_questions(self) -> list[Note]:
        """The notes on what is not known, without the one that there is nothing of the kind in the table."""
        return [note for note in self.notes_of("unknown") if note.key != "nothing_unknown"]

    def says_none(self, table: str) -> bool:
        """Whether a note says already that a table is empty."""
        return any(note.proof == Proof(table) for note in self.contents.notes)

    def written_by_people(self, key: str) -> list[Para]:
        """What people wrote, marked as theirs."""
        lines = lines_of(self.contents.texts.get(key, ""))
        if not lines:
            return []
        return [
            Para((Text(self.w("in_their_words"), role="note"),), keep=True),
            *(Para(line, "quote") for line in lines),
        ]


def _in_memory(rows: Iterable[Row]) -> list[Row]:
    """Rows whose equal values are one object: 200,000 rows hold few different ones."""
    one: dict[Value, Value] = {}
    return [tuple(one.setdefault(value, value) for value in row) for row in rows]


def _run(text: str, is_proved: bool, href: str) -> Text:
    return Text(text, role="strong", href=href) if is_proved else Text(text)
