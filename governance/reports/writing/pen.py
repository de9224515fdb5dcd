"""What writes: contents with their tables, the words of a language, and where a number leads on a page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from governance.papers.printed.blocks import Line, Para, Text, lines_of
from governance.reports.contents import Composed, Contents, Note, Proof, TableData, Value, rows_behind
from governance.reports.writing.language import ReportWords
from governance.reports.writing.summaries import Number

Link = Callable[[Proof], str]
"""The address of the rows behind a number."""

_NUMBERED: Final = ("n", "count", "number")
"""Values of a sentence that its proof proves, the first that is there."""


@dataclass(frozen=True)
class Pen:
    """Writes one report in one language. most: rows of a table that are told; of the others that they are there."""

    composed: Composed
    w: ReportWords
    link: Link | None = None
    most: int = 40

    @property
    def contents(self) -> Contents:
        return self.composed.contents

    def table(self, key: str) -> TableData | None:
        """A table that the report has."""
        return self.composed.tables.get(key)

    def count(self, key: str, **where: Value) -> Number | None:
        """How many rows of a table meet a condition; None where the report has no such table."""
        table = self.table(key)
        if table is None:
            return None
        proof = Proof(key, where)
        return Number(str(len(rows_behind(proof, table))), proof)

    def number(self, number: Number, *, role: str = "") -> Text:
        """A number that leads to its rows; nothing leads to no rows."""
        return Text(self.w.amount(number.value), role=role, href=self.href(number.proof, number.value))

    def href(self, proof: Proof | None, value: str = "") -> str:
        """Where a proof leads on a page, "" for nowhere: in a file, and of nothing."""
        return self.link(proof) if self.link and proof and value != "0" else ""

    def told(self, key: str, number: Number, **values: Value) -> Line:
        """A sentence of the words around a proved number, which is its ``n``."""
        return self._line("words", key, {"n": int(number.value), **values}, number.proof)

    def note(self, note: Note) -> Line:
        """A note as a sentence."""
        return self._line("notes", note.key, note.values, note.proof)

    def _line(self, group: str, key: str, values: Mapping[str, object], proof: Proof | None) -> Line:
        pieces = list(self.w.pieces(group, key, values))
        names = [name for _text, name in pieces]
        proved = next((name for name in _NUMBERED if name in names), None)
        href = self.href(proof, str(values.get(proved, "")) if proved else "")
        if proved is None and href:
            return tuple(Text(text, href=href) for text, _name in pieces)
        return tuple(_run(text, name == proved, href) for text, name in pieces)

    def notes(self, part: str) -> list[Para]:
        """The notes of a part, a paragraph each."""
        return [Para(self.note(note)) for note in self.contents.notes if note.part == part]

    def written_by_people(self, key: str) -> list[Para]:
        """What people wrote, marked as theirs."""
        lines = lines_of(self.contents.texts.get(key, ""))
        if not lines:
            return []
        return [Para((Text(self.w("in_their_words"), role="note"),), keep=True), *(Para(line, "quote") for line in lines)]


def _run(text: str, is_proved: bool, href: str) -> Text:
    return Text(text, role="strong", href=href) if is_proved else Text(text)
