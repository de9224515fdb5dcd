"""Rows of specimens: what each is, and its nine verdicts, as CSV and as a workbook."""

from __future__ import annotations

import collections
import csv
import io
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import IO

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Specimen
from accessions.people.csv_answers import guarded
from governance.audit.asking import Answer, Column, ColumnKind, Row, Rows
from governance.audit.bundle.frame import AT_ONCE, Bundle
from governance.audit.bundle.packing import pieces
from governance.audit.writing.told import caution_line, known_words
from governance.audit.writing.workbook import MOST_ROWS, write_workbook
from governance.verdicts.queries.export_rows import export_rows, header

_FIRST_DAY, _LAST_DAY = 4, 5
"""Columns of ``export_rows`` that hold days."""


@dataclass(frozen=True)
class SpecimenRows:
    """The list of specimens as rows of an answer: read by slices, so that 200,000 need little memory."""

    keys: Sequence[int]
    step: Callable[[int, int], None] = lambda _done, _of: None

    def __len__(self) -> int:
        return len(self.keys)

    def between(self, first: int, last: int) -> Sequence[Row]:
        some = self.keys[first:last]
        there = set(Specimen.objects.filter(pk__in=some).values_list("pk", flat=True))
        found = [key for key in some if key in there]
        return [
            Row(f"specimen:{key}", tuple(cells)) for key, cells in zip(found, export_rows(found), strict=True)
        ]  # fmt: skip

    def __iter__(self) -> Iterator[Row]:
        for first in range(0, len(self.keys), AT_ONCE):
            self.step(first, len(self.keys))
            yield from self.between(first, first + AT_ONCE)


def specimen_answer(rows: Rows) -> Answer:
    """The rows with the heads of their columns."""
    days = (_FIRST_DAY, _LAST_DAY)
    columns = [
        Column(str(place), label, ColumnKind.DAY if place in days else ColumnKind.TEXT)
        for place, label in enumerate(header())
    ]
    return Answer(_count(len(rows)), tuple(columns), rows)


def _count(count: int) -> str:
    words = ngettext("%(n)s specimen with its verdicts.", "%(n)s specimens with their verdicts.", count)
    return words % {"n": intcomma(count)}


@dataclass(frozen=True)
class Copied:
    """Rows that are written as CSV while somebody else reads them: what a row says is put together once."""

    rows: SpecimenRows
    text: IO[str]

    def __len__(self) -> int:
        return len(self.rows)

    def between(self, first: int, last: int) -> Sequence[Row]:
        return self.rows.between(first, last)

    def __iter__(self) -> Iterator[Row]:
        writer = csv.writer(self.text)
        self.text.write("\ufeff")
        writer.writerow(header())
        for row in self.rows:
            writer.writerow([guarded(cell) for cell in row.cells])
            yield row


def add_specimens(bundle: Bundle) -> None:
    """``rows/specimens.csv`` and ``rows/specimens.xlsx``."""
    keys = bundle.subject.specimens
    if not keys:
        return
    part = bundle.part(_("Rows: specimens"), _count(len(keys)))
    rows = SpecimenRows(keys, lambda done, of: bundle.step(_("Specimens"), done, of))
    with tempfile.TemporaryFile() as plain, tempfile.TemporaryFile() as book:
        text = io.TextIOWrapper(plain, "utf-8", newline="")
        copied = Copied(rows, text)
        if len(keys) <= MOST_ROWS:
            _write_workbook(book, bundle, copied)
        else:
            collections.deque(copied, maxlen=0)
            bundle.not_known.append(
                _("A workbook of the specimens: they are more than a sheet holds; the CSV has all.")
            )
        text.detach()  # flushes, and leaves the file open
        for name, file in (("rows/specimens.csv", plain), ("rows/specimens.xlsx", book)):
            if file.tell():
                file.seek(0)
                bundle.packed.add(name, pieces(file))
                part.tell(name, _("What each is, its nine verdicts, the reasons and the papers"))


def _write_workbook(file: IO[bytes], bundle: Bundle, rows: Copied) -> None:
    head = [
        (_("Evidence"), bundle.subject.title), (_("As of (day in the world)"), bundle.on.isoformat()),
        (_("As known on (day of the register)"), known_words(bundle.known_at)), caution_line(),
    ]  # fmt: skip
    write_workbook(file, bundle.subject.title, head, specimen_answer(rows), made_at=timezone.localtime())
    file.seek(0, io.SEEK_END)
