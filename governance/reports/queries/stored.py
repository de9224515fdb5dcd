"""Reports as they are kept: the tables of a draft as last composed, of an issued report for good.

Rows are JSON lines in pieces of a thousand, gzip; a table unpacks the pieces that are read and no others.
"""

from __future__ import annotations

import gzip
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Any, Final, overload

from governance.reports.contents import Column, ColumnType, Composed, Contents, Row, TableData, Value
from governance.reports.models import Report, ReportChunk, ReportTable

ROWS_A_CHUNK: Final = 1000

OF_THE_DAY: Final = frozenset({"made_on", "author"})
"""Facts that say who composed it and when, and nothing of the register."""

_OF_THE_COMPOSING: Final = frozenset({"made_on", "papers"})


class StoredRows(Sequence[Row]):
    """The rows of a stored table, read as they are asked for. are_kept: once all were read they stay in memory, for
    whoever goes over them many times, as writing does."""

    def __init__(self, table: ReportTable, *, are_kept: bool = False) -> None:
        self._table, self._are_kept = table, are_kept
        self._newest: tuple[int, list[Row]] = (-1, [])
        self._all: list[Row] | None = None

    def __len__(self) -> int:
        return self._table.row_count

    @overload
    def __getitem__(self, place: int) -> Row: ...

    @overload
    def __getitem__(self, place: slice) -> list[Row]: ...

    def __getitem__(self, place: int | slice) -> Row | list[Row]:
        if isinstance(place, slice):
            return [self._at(number) for number in range(len(self))[place]]
        return self._at(range(len(self))[place])

    def _at(self, number: int) -> Row:
        return self._chunk(number // ROWS_A_CHUNK)[number % ROWS_A_CHUNK]

    def __iter__(self) -> Iterator[Row]:
        if self._are_kept and self._all is None:
            self._all = _sharing(self._streamed())
        return iter(self._all) if self._all is not None else self._streamed()

    def _streamed(self) -> Iterator[Row]:
        for number in range(-(-len(self) // ROWS_A_CHUNK)):
            yield from self._chunk(number)

    def _chunk(self, number: int) -> list[Row]:
        if self._newest[0] != number:
            self._newest = (number, list(map(json.loads, plain_lines(self._table, number).splitlines())))
        return self._newest[1]


def _sharing(rows: Iterable[Row]) -> list[Row]:
    """All rows; values that are alike are one object, of which a table of 200,000 specimens has few."""
    known: dict[Value, Value] = {}
    return [[known.setdefault(value, value) for value in row] for row in rows]


def plain_lines(table: ReportTable, number: int) -> bytes:
    """One piece of a table as it was before it was packed."""
    return gzip.decompress(bytes(ReportChunk.objects.values_list("data", flat=True).get(table=table, number=number)))


def lines_in_chunks(rows: Iterable[Row]) -> Iterator[bytes]:
    """Rows as JSON lines, a thousand at a time."""
    left = iter(rows)
    while some := list(islice(left, ROWS_A_CHUNK)):
        yield b"".join(map(_line, some))


def _line(row: Row) -> bytes:
    # A line separator of Unicode would end the line for ``splitlines`` of text, but not for that of bytes.
    return json.dumps(list(row), ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def tables_of(report: Report) -> list[ReportTable]:
    """The tables in force, in their order: one query."""
    return list(ReportTable.objects.filter(report=report, batch="").order_by("position"))


def table_of(report: Report, key: str) -> TableData:
    """One table of a report; its rows are read as they are asked for.

    Raises:
        ReportTable.DoesNotExist: the report has no such table.
    """
    return as_data(ReportTable.objects.get(report=report, batch="", key=key))


def as_data(table: ReportTable, *, are_kept: bool = False) -> TableData:
    """A stored table as reports speak of tables."""
    return TableData(table.key, columns_from_json(table.columns), StoredRows(table, are_kept=are_kept))


def stored(report: Report) -> Composed:
    """What is stored of a report that was composed; reads no row before it is asked for, and each table once.

    Raises:
        ValueError: the report was never composed.
    """
    if report.contents is None:
        raise ValueError(f"{report.reference} is not composed yet")
    tables = {one.key: as_data(one, are_kept=True) for one in tables_of(report)}
    return Composed(Contents.from_json(report.contents), tables)


def columns_as_json(columns: Iterable[Column]) -> list[dict[str, str]]:
    """Columns as ``ReportTable.columns`` holds them."""
    return [{"key": one.key, "type": one.type.value, "words": one.words} for one in columns]


def columns_from_json(told: Iterable[Mapping[str, str]]) -> tuple[Column, ...]:
    """The way back."""
    return tuple(Column(one["key"], ColumnType(one["type"]), one["words"]) for one in told)


def contents_digest(contents: Mapping[str, Any], tables: Iterable[Sequence[Any]], files: Iterable[Sequence[Any]] = (),
                    ) -> str:  # fmt: skip
    """SHA-256 over contents, what tells the tables (key, columns, rows, digest), and files (format, digest), whatever
    the order of keys in which a database gives JSON back."""
    whole = {"contents": contents, "tables": [list(one) for one in tables], "files": [list(one) for one in files]}
    plain = json.dumps(_signless(whole), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(plain.encode()).hexdigest()


def _signless(value: Any) -> Any:
    """Without the sign of a zero, which ``jsonb`` of PostgreSQL does not keep."""
    if isinstance(value, Mapping):
        return {str(key): _signless(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_signless(one) for one in value]
    return value + 0.0 if isinstance(value, float) else value


def told_of(table: ReportTable) -> tuple[Any, ...]:
    """What the digest of a report holds of a table."""
    return (table.key, table.columns, table.row_count, table.sha256)


def substance(report: Report) -> str:
    """A mark of what a draft says, whoever composed it on whichever day; "" if it never was."""
    if report.contents is None:
        return ""
    return substance_of(report.contents, map(told_of, tables_of(report)))


def substance_of(contents: Mapping[str, Any], tables: Iterable[Sequence[Any]]) -> str:
    """The same of contents and tables that are not in force yet."""
    told = {name: value for name, value in contents.items() if name not in _OF_THE_COMPOSING}
    told["facts"] = [one for one in told.get("facts", ()) if one["key"] not in OF_THE_DAY]
    return contents_digest(told, tables)
