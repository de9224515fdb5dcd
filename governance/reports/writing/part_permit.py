"""Parts of returns and sheets: the permit, numbers by taxon, what is declared, fields and items, the signature."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from governance.papers.printed.blocks import Block, Cell, Facts, Para, Table, Text, Ticks, plain
from governance.reports.writing.answers import nil_sentence
from governance.reports.writing.data_tables import blank, data_table
from governance.reports.writing.facts import facts_block
from governance.reports.writing.pen import Pen

_FEW: Final = 3
"""Papers that are told one by one, each fact in a line."""


def permit(pen: Pen) -> Iterator[Block]:
    """What the permit is: each fact with its name, of one or a few; a table of more."""
    facts = facts_block(pen)
    if facts is not None:
        yield facts
    table = pen.table("papers")
    if table is None or len(table.rows) > _FEW or not table.rows:
        yield from data_table(pen, "papers")
        return
    for row in table.rows:
        yield Facts(str(row[0]), [
            (pen.w.of("columns", column.key), [plain(pen.w.value(column, value) or blank(pen, column.key))])
            for column, value in zip(table.columns, row, strict=True)
        ])  # fmt: skip


def taken(pen: Pen) -> Iterator[Block]:
    """Numbers by taxon; of nothing the sentence of a nil return."""
    table = pen.table("taken")
    if table is None:
        return
    nil = nil_sentence(pen)
    if nil:
        yield Para((Text(nil, role="strong"),))
    if not table.rows:
        return
    yield from data_table(pen, "taken", most=_MOST_TAXA)
    yield Para(plain(pen.w("taken_key")), "note")


_MOST_TAXA: Final = 400
"""Taxa of a return that the document lists: the authority asks for all of them."""


def findings(pen: Pen) -> Iterator[Block]:
    """What was found, as people wrote it, and what was published."""
    yield from pen.written_by_people("findings") or not_written(pen, "findings")
    table = pen.table("publications")
    if table is not None and table.rows:
        yield from data_table(pen, "publications")


def duplicate(pen: Pen) -> Iterator[Block]:
    """Whether a duplicate was offered to an institution of the country."""
    table = pen.table("deposits")
    if table is not None and table.rows:
        yield from data_table(pen, "deposits")
    yield from pen.written_by_people("duplicate") or not_written(pen, "duplicate")


def not_written(pen: Pen, part: str) -> list[Para]:
    """That nobody wrote anything, unless a note says so."""
    return [] if pen.notes_of(part) else [Para(plain(pen.w("not_written")))]


def declarations(pen: Pen) -> Iterator[Block]:
    """Boxes that nobody ticked yet: the register declares nothing in place of the signatory."""
    yield Para(plain(pen.w("declarations_lead")))
    for note in pen.notes_of("declarations"):
        line = pen.note(note)
        yield Ticks([line]) if note.key.startswith("declare") else Para(line, "quote")
    yield from pen.written_by_people("transfer")


def declaration(pen: Pen) -> Iterator[Block]:
    """Of the due-diligence sheet."""
    yield Para(plain(pen.w("declarations_lead")))
    yield Ticks([plain(pen.w("declare_keep"))])


def signature(pen: Pen) -> Iterator[Block]:
    """Lines to fill in by hand."""
    w = pen.w
    rows = [[Cell([plain(w(key))]), Cell()] for key in ("name", "office", "day", "signature")]
    yield Table(w("signature"), ["", ""], rows, [26, 74], tall=True)


def fields(pen: Pen) -> Iterator[Block]:
    """Each field with what the register says, and whether the list of fields itself was read at its source."""
    if not pen.notes_of("fields"):
        yield Para(plain(pen.w("fields_lead")))
    yield from _sources(pen)
    yield from data_table(pen, "fields", most=100)


def items(pen: Pen) -> Iterator[Block]:
    """The nine of Art. 17(4), then others, apart."""
    table = pen.table("items")
    if table is None:
        return
    yield from _sources(pen)
    for minimum, key in (("yes", "the_nine"), ("no", "not_of_the_nine")):
        rows = [row for row in table.rows if row[table.place("minimum")] == minimum]
        if rows:
            yield Para((Text(pen.w(key), role="strong"),), keep=True)
            yield from data_table(pen, "items", most=100, only=rows)


def _sources(pen: Pen) -> Iterator[Block]:
    if pen.w.code != "en":
        yield Para(plain(pen.w("sources_in_english")), "note")
