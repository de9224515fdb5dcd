"""An answer as a file of a kind, written while the clocks stand."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import IO, Any, Final

from django.utils import timezone

from governance.audit.asking import Answer
from governance.audit.queries.asking import Answered
from governance.audit.queries.ordering import ordered
from governance.audit.writing import document, workbook
from governance.audit.writing.csv_file import write_csv
from governance.audit.writing.told import Line, answer_lines, asked_lines, caution_line

CONTENT_TYPES: Final[Mapping[str, str]] = {
    "csv": "text/csv; charset=utf-8", "xlsx": workbook.CONTENT_TYPE, "docx": document.CONTENT_TYPE,
}  # fmt: skip


def answer_file(found: Answered[Any], form: str, sort: str = "") -> IO[bytes]:
    """The file, in a temporary one that goes away when it is closed. form: one of ``CONTENT_TYPES``.

    Raises:
        TooManyRowsError: a document for reading would have too many rows.
    """
    answer = replace(found.answer, rows=ordered(found.answer, sort))
    file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115  (the answer closes it when it was sent)
    try:
        _WRITERS[form](file, found, answer, [*asked_lines(found), *answer_lines(found), caution_line()])
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return file


def _csv(file: IO[bytes], found: Answered[Any], answer: Answer, head: Sequence[Line]) -> None:
    text = io.TextIOWrapper(file, "utf-8", newline="")
    write_csv(text, head, answer)
    text.detach()  # flushes, and leaves the file open


def _xlsx(file: IO[bytes], found: Answered[Any], answer: Answer, head: Sequence[Line]) -> None:
    made_at = timezone.localtime(found.at)
    workbook.write_workbook(file, str(found.question.title), head, answer, made_at=made_at)


def _docx(file: IO[bytes], found: Answered[Any], answer: Answer, head: Sequence[Line]) -> None:
    file.write(document.answer_docx(found, answer, head, made_at=timezone.localtime(found.at)))


_WRITERS: Final[Mapping[str, Callable[[IO[bytes], Answered[Any], Answer, Sequence[Line]], None]]] = {
    "csv": _csv, "xlsx": _xlsx, "docx": _docx,
}  # fmt: skip
