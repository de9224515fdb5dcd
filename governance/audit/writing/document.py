"""An answer as a DOCX: for reading and for the file of a case."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from governance.audit.asking import Answer, Cell, Column, ColumnKind
from governance.audit.queries.asking import Answered
from governance.audit.writing.cells import heading, plain, words
from governance.audit.writing.told import Line, caution, known_words
from governance.papers.printed import blocks
from governance.papers.printed.blocks import Block, Facts, Para, Printed, Section, Table, Text, strong
from governance.papers.printed.docx_writer import CONTENT_TYPE, DocxWriter

__all__ = ["CONTENT_TYPE", "MOST_ROWS", "TooManyRowsError", "answer_docx"]

MOST_ROWS: Final = 2_000
_SHARES: Final = {ColumnKind.TEXT: 3, ColumnKind.TAXON: 3, ColumnKind.STRIP: 5, ColumnKind.NUMBER: 1}
_WIDE_FROM: Final = 7
"""Columns from which on heads are set smaller."""


class TooManyRowsError(Exception):
    """A document for reading would have too many rows. Its text says what to do."""


def answer_docx(answered: Answered[Any], answer: Answer, head: Sequence[Line], *, made_at: datetime) -> bytes:
    """The file.

    Raises:
        TooManyRowsError: the answer has more than ``MOST_ROWS`` rows.
    """
    if len(answer.rows) > MOST_ROWS:
        told = {"n": intcomma(len(answer.rows)), "most": intcomma(MOST_ROWS)}
        raise TooManyRowsError(
            _("A document holds %(most)s rows, and this answer has %(n)s. Take XLSX or CSV, which hold all of them, or "
              "ask for less.") % told
        )  # fmt: skip
    writer = DocxWriter(_printed(answered, answer, head))
    writer.set_up(made_at)
    for section in writer.printed.sections:
        writer.section(section)
    out = io.BytesIO()
    writer.document.save(out)
    return out.getvalue()


def _printed(answered: Answered[Any], answer: Answer, head: Sequence[Line]) -> Printed:
    title = str(answered.question.title)
    footer = _("As of %(day)s, as known %(known)s") % {
        "day": answered.asked.on.isoformat(), "known": known_words(answered.asked.known_at),
    }  # fmt: skip
    first: list[Block] = [
        Para(strong(answer.sentence), "lead"), Para((Text(caution()),), "note"),
        Facts(_("How it was asked"), [(label, [blocks.plain(text)]) for label, text in head]),
    ]  # fmt: skip
    sections = [Section(title, first, key="cover"), Section(_("Rows"), list(_rows(answer)), key="rows")]
    page_of = _("Page %(page)s of %(pages)s") % {"page": "\0", "pages": "\1"}
    reference = timezone.localtime(answered.at).date().isoformat()
    return Printed(get_language() or "en", reference, title, _("Audit"), footer, page_of, sections)


def _rows(answer: Answer) -> Iterator[Block]:
    if not len(answer.rows) or not answer.columns:
        yield Para(blocks.plain(_("The answer has no rows.")))
        return
    numbers = [place for place, one in enumerate(answer.columns) if one.kind is ColumnKind.NUMBER]
    refs = [place for place, one in enumerate(answer.columns) if one.kind is ColumnKind.CODE]
    rows = [[_cell(column, cell) for column, cell in zip(answer.columns, row.cells, strict=True)]
            for row in answer.rows]  # fmt: skip
    yield Table(
        _("Rows of the answer"), [heading(one) for one in answer.columns], rows,
        [_SHARES.get(one.kind, 2) for one in answer.columns], small=True, numbers=numbers, refs=refs,
        fine_head=len(answer.columns) >= _WIDE_FROM,
    )  # fmt: skip


def _cell(column: Column, cell: Cell) -> blocks.Cell:
    text = words(column, plain(cell))
    return blocks.Cell([(Text(text, role="taxon" if column.kind is ColumnKind.TAXON else ""),)] if text else ())
