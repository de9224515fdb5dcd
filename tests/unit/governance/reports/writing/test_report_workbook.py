"""The workbook, read by openpyxl: every row, typed cells, texts that stay texts, figures counted again."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

import openpyxl
import pytest
import python_calamine

from governance.reports.contents import Column, ColumnType, Composed, TableData, figure
from governance.reports.writing import workbook
from governance.reports.writing.cells import MOST_CHARACTERS, sheet_titles
from governance.reports.writing.language import languages, words_of
from governance.reports.writing.sheet_rows import day_number, number_of
from tests.factories import reports_composed as made

AT = datetime(2026, 11, 26, 12)


def read(composed: Composed, code: str = "en") -> Any:
    return openpyxl.load_workbook(io.BytesIO(workbook.report_workbook(composed, code, made_at=AT)))


def odd(*values: Any, kind: ColumnType = ColumnType.TEXT) -> Composed:
    """A report whose table of losses has one column of these values."""
    return made.composed("provider", [TableData("losses", (Column("amount", kind),), [(value,) for value in values])])


def column_of(book: Any) -> list[Any]:
    return [row[0].value for row in book.worksheets[1].iter_rows(min_row=2)]


@pytest.mark.parametrize("code", languages())
@pytest.mark.parametrize("kind", made.KINDS)
def test_every_row_of_every_table_stands_on_its_sheet(kind: str, code: str) -> None:
    composed, words = made.KINDS[kind](), words_of(code)
    book = read(composed, code)
    assert book.sheetnames == [words("read_me"), *(words.of("tables", key) for key in composed.tables)]
    for sheet, table in zip(book.worksheets[1:], composed.tables.values(), strict=True):
        assert sheet.freeze_panes == "B2"
        assert [cell.value for cell in sheet[1]] == [words.of("columns", column.key) for column in table.columns]
        filled = sum(1 for row in sheet.iter_rows(min_row=2) for cell in row if cell.value is not None)
        assert filled == sum(1 for row in table.rows for value in row if value not in (None, "")), table.key
        assert (sheet.auto_filter.ref is None) == (not table.rows)


def test_cells_have_types() -> None:
    sheet = read(made.provider())["Material"]
    first = {head.value: cell for head, cell in zip(sheet[1], sheet[2], strict=True)}
    assert first["Earliest day"].value == datetime(2024, 6, 17)
    assert first["Earliest day"].number_format == "yyyy-mm-dd"
    assert (first["Individuals"].value, first["Latitude, degrees"].value) == (1, 42.084)
    assert (first["Today"].value, first["Verdict"].value) == ("In the collection", "In order")
    assert first["Name"].font.italic


NASTY = ("=1+1", "+49 30", "@SUM(A1)", "-2", "http://x.example", "mailto:a@b.example", "'quoted", " two  blanks ",
         "line\nbreak", "<b>&amp;", "12", "\U0001f98b Ж", "{=1}")  # fmt: skip


def test_a_text_is_never_anything_else() -> None:
    book = read(odd(*NASTY))
    assert column_of(book) == list(NASTY)
    assert {cell.data_type for row in book.worksheets[1].iter_rows(min_row=2) for cell in row} == {"s"}
    assert [cell.hyperlink for row in book.worksheets[1].iter_rows() for cell in row if cell.hyperlink] == []


def test_a_text_that_looks_like_an_escape_stays_as_it_is() -> None:
    """``_x0041_`` would be read as "A" (ECMA-376, part 1, 22.9.2.19); by calamine, since openpyxl reads none of it."""
    content = workbook.report_workbook(odd("_x0041_"), "en", made_at=AT)
    read_back = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_index(1).to_python()
    assert read_back[1] == ["_x0041_"]


def test_control_characters_are_left_out_and_long_texts_cut_with_a_mark() -> None:
    clean, long = column_of(read(odd("a\x00b\x0b\x1f\ufffec\rd", "x" * 40_000)))
    assert clean == "abcd"
    assert len(long) == MOST_CHARACTERS == 32_767
    assert long.endswith("x [cut here: 40,000 characters in all]")


def test_days_that_workbooks_cannot_count_stay_texts() -> None:
    """1 March 1900 is day 61, since 1900 is taken for a leap year: ECMA-376, part 1, 18.17.4.1."""
    told = column_of(read(odd("1900-02-28", "1900-03-01", "2024-02-29", "2024-02", kind=ColumnType.DAY)))
    assert told == ["1900-02-28", datetime(1900, 3, 1), datetime(2024, 2, 29), "2024-02"]
    assert day_number("1900-03-01") == 61


@pytest.mark.parametrize(
    ("value", "number"),
    [("12.50", 12.5), (3, 3), ("-0.5", -0.5), ("1234567890.12", 1234567890.12), ("0.1234567890123456", None),
     (10**15, None), ("1e5", None), ("NaN", None), ("many", None), ("٣", None)],
)  # fmt: skip
def test_numbers_without_loss_or_as_text(value: Any, number: Any) -> None:
    """Fifteen digits are what a double keeps (IEEE 754)."""
    assert number_of(value) == number
    assert column_of(read(odd(value, kind=ColumnType.DECIMAL))) == [str(value) if number is None else number]


def test_more_rows_than_a_sheet_holds_go_on_another(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "MOST_ROWS", 3)
    book = read(odd(*map(str, range(7))))
    assert book.sheetnames[1:] == [f"Consumed, lost, destroyed {part}" for part in (1, 2, 3)]
    rows = [[row[0] for row in sheet.iter_rows(min_row=2, values_only=True)] for sheet in book.worksheets[1:]]
    assert rows == [["0", "1", "2"], ["3", "4", "5"], ["6"]]


def test_names_of_sheets_differ(monkeypatch: pytest.MonkeyPatch) -> None:
    words = words_of("en")
    long = {"papers": "A/very:long*name[of]a?table\\that is cut", "uses": "READ ME", "used": "'History'"}
    monkeypatch.setitem(words.groups, "tables", long)  # type: ignore[arg-type]
    _first, titles = sheet_titles(words, dict.fromkeys(long, 1))
    assert titles == {"papers": ["A very long name of a table tha"], "uses": ["READ ME (2)"], "used": ["History (2)"]}


def test_the_first_sheet_says_what_proves_each_figure() -> None:
    """Counted again from the sheet that it names, by the condition that it names."""
    composed = made.provider()
    book = read(composed)
    told = [row for row in book["Read me"].iter_rows(values_only=True)]
    figures = {row[0]: row[1:] for row in told if row[2] in book.sheetnames}
    out = [row for row in book["Material"].iter_rows(min_row=2, values_only=True) if row[12] == "Out on loan"]
    assert figures["Where it is: Out on loan"] == (len(out), "Material", "Today = Out on loan", "number of rows")
    individuals = sum(row[3] or 0 for row in book["Material"].iter_rows(min_row=2, values_only=True))
    assert figures["Individuals that are certain"] == (
        individuals, "Material", "all rows", "sum of “Individuals”"
    )  # fmt: skip
    names = {row[4] for row in book["Material"].iter_rows(min_row=2, values_only=True)}
    assert figures["Different names"][:2] == (len(names), "Material")
    assert figures["Given (days)"] == (12, "Benefits given", "Unit = days", "sum of “Amount”")
    assert len(figures) == len(composed.contents.figures)


def test_the_first_sheet_has_hashes_and_the_caution() -> None:
    """SHA-256 of one row as a JSON line, by another program: printf '["x"]\\n' | sha256sum."""
    composed = odd("x")
    told = [row for row in read(composed)["Read me"].iter_rows(values_only=True)]
    digest = "070cacae68e6748cbe2dbbc127071e34d741e1b3c888ad0e19b8543f64d51d97"
    assert ("Consumed, lost, destroyed", 1, digest) in [row[:3] for row in told]
    assert any("no finding of an offence" in str(row[0]) for row in told)


def test_a_blank_value_is_named_in_a_condition() -> None:
    composed = made.provider()
    remedies = composed.tables["remedies"]
    with_figure = made.composed(
        "provider", list(composed.tables.values()), figures=[figure("remedies_open", remedies, where={"done_on": None})]
    )
    told = [row for row in read(with_figure)["Read me"].iter_rows(values_only=True)]
    assert ("Remedies not done yet", 1, "Remedies", "Done on = blank", "number of rows") in told
