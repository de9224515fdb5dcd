"""Every figure of every issued report of the demo, counted again from its workbook: by a spreadsheet reader and the
file of words, with no code of the reports.
"""

from __future__ import annotations

import io
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import yaml

GOVERNANCE = Path(__file__).resolve().parents[2] / "governance"
KINDS = {"provider", "benefits", "agency", "landowner", "diligence", "certificate"}


@pytest.fixture(scope="module")
def issued(small_demo: Path) -> list[tuple[str, str, dict[str, Any], list[tuple[str, list[dict[str, Any]]]], bytes]]:
    """Kind, language, contents, tables with their columns, and workbook of each issued report."""
    found = []
    with closing(sqlite3.connect(small_demo)) as connection:
        for pk, kind, code, contents in connection.execute(
            "SELECT id, kind, language, contents FROM reports_report WHERE issued_at IS NOT NULL ORDER BY id"
        ).fetchall():
            tables = connection.execute(
                "SELECT key, columns FROM reports_reporttable WHERE report_id = ? ORDER BY position", (pk,)
            ).fetchall()
            (book,) = connection.execute(
                "SELECT data FROM reports_reportfile WHERE report_id = ? AND format = 'xlsx'", (pk,)
            ).fetchone()
            columns = [(key, json.loads(told)) for key, told in tables]
            found.append((kind, code, json.loads(contents), columns, book))
    return found


def test_the_demo_issues_every_kind(issued: list[Any]) -> None:
    assert {kind for kind, *_ in issued} == KINDS


def test_figures_are_counted_again_from_the_workbooks(issued: list[Any]) -> None:
    """A figure is a number of rows, a sum of a column, or how many values a column has, where columns say so."""
    wrong, tried = [], 0
    for kind, code, contents, columns, book in issued:
        sheets = openpyxl.load_workbook(io.BytesIO(book), read_only=True).worksheets
        assert len(sheets) == 1 + len(columns)
        words = _words(code)
        rows = {key: list(_rows(sheet, told, words)) for sheet, (key, told) in zip(sheets[1:], columns, strict=True)}
        for figure in contents["figures"]:
            counted = _count(rows[figure["proof"]["table"]], figure["proof"]["where"], figure["proof"]["measure"])
            tried += 1
            if counted != Decimal(figure["value"]):
                wrong.append((kind, figure["key"], figure["value"], counted))
    assert tried > 100
    assert wrong == []


def _words(code: str) -> dict[str, Any]:
    """The codes of a language by group; kinds of papers stand with the words of everything that is printed."""
    of_reports, of_all = (
        yaml.safe_load((GOVERNANCE / room / "words" / f"{code}.yaml").read_text("utf-8"))
        for room in ("reports/writing", "papers/printed")
    )
    found: dict[str, Any] = {**of_reports, "paper_kinds": of_all["kinds"]}
    return found


def _rows(sheet: Any, columns: list[dict[str, Any]], words: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The rows below the head, with codes in place of the words of the language."""
    codes = [_by_word(words[column["words"]]) if column["type"] == "word" else None for column in columns]
    for cells in sheet.iter_rows(min_row=2, values_only=True):
        values = [*cells, *[None] * (len(columns) - len(cells))]
        yield {
            column["key"]: named[value] if named and value is not None else _plain(value)
            for column, named, value in zip(columns, codes, values, strict=True)
        }


def _by_word(group: dict[str, str]) -> dict[str, str]:
    """Codes by their words; of benefits the letters stand before the words."""
    return {written: key for key, word in group.items() for written in (word, f"{key} {word}")}


def _plain(value: Any) -> Any:
    return value.date() if isinstance(value, datetime) else value


def _count(rows: list[dict[str, Any]], where: dict[str, Any], measure: str) -> Decimal:
    behind = [row for row in rows if all(_holds(row, column, value) for column, value in where.items())]
    name, _, column = measure.partition(":")
    values = [row[column] for row in behind if row[column] not in (None, "")] if column else []
    if name == "sum":
        return sum((Decimal(str(value)) for value in values), Decimal(0))
    return Decimal(len(set(values)) if name == "distinct" else len(behind))


def _holds(row: dict[str, Any], column: str, value: Any) -> bool:
    if column.startswith("year:"):
        day = row[column.removeprefix("year:")]
        return isinstance(day, date) and day.year == int(value)
    found = row[column]
    return (found or None) == (value or None) or (found is not None and str(found) == str(value))
