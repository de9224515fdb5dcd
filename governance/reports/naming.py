"""Names of tables, columns and values on the pages about reports: the words of the language that they are shown in."""

from __future__ import annotations

from collections.abc import Iterable

from django.conf import settings
from django.utils.translation import get_language

from governance.reports.contents import Column, ColumnType, Row
from governance.reports.writing.language import ReportWords, languages, words_of


def words() -> ReportWords:
    """The words of the pages, in the language of their reader; the report itself is in its own language."""
    code = (get_language() or "").partition("-")[0]
    return words_of(code if code in languages() else settings.LANGUAGE_CODE)


def table_name(key: str) -> str:
    """The name of a table."""
    return words().of("tables", key)


def column_name(key: str) -> str:
    """The name of a column."""
    return words().of("columns", key)


def cells_of(columns: Iterable[Column], row: Row) -> list[tuple[str, str]]:
    """A row as it is shown: its values in words, each with the type of its column."""
    told = words()
    return [(told.value(column, value), column.type.value) for column, value in zip(columns, row, strict=True)]


def is_number(column: Column) -> bool:
    """Whether a column stands to the right."""
    return column.type in (ColumnType.NUMBER, ColumnType.DECIMAL)
