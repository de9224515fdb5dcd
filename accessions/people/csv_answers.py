"""Lists as CSV files: UTF-8 with a mark for spreadsheet programs, commas, ISO days."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.http import StreamingHttpResponse

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_PLAIN_NUMBER = re.compile(r"-[0-9]+(\.[0-9]+)?")


def csv_answer(name: str, header: Sequence[str], rows: Iterable[Sequence[Any]]) -> StreamingHttpResponse:
    """A download that is written as it is read."""
    answer = StreamingHttpResponse(_lines(header, rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _lines(header: Sequence[str], rows: Iterable[Sequence[Any]]) -> Iterator[str]:
    buffer = io.StringIO()
    writer = csv.writer(buffer)
    yield "\ufeff"
    writer.writerow(header)
    for row in rows:
        writer.writerow([guarded(value) for value in row])
        yield buffer.getvalue()
        buffer.seek(0)
        buffer.truncate()
    yield buffer.getvalue()


def guarded(value: Any) -> Any:
    """Text that a spreadsheet program would run as a formula gets an apostrophe before it; a plain number is none."""
    if isinstance(value, str) and value.startswith(_STARTS_A_FORMULA) and not _PLAIN_NUMBER.fullmatch(value):
        return f"'{value}"
    return "" if value is None else value
