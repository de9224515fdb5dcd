"""XLSX and ODS: cells become the text they stand for; the inputs are made by openpyxl and odfpy."""

from __future__ import annotations

import datetime
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from accessions.intake.problems import FileProblems
from accessions.intake.tables import read_table


def _workbook(tmp_path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    path = tmp_path / "book.xlsx"
    book.save(path)
    return path


def _replaced(path: Path, member: str, change: Any) -> Path:
    """The archive with one member changed, or all of them (member "")."""
    target = path.with_name("changed" + path.suffix)
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, change(data) if member in ("", name) else data)
    return target


def _refused(path: Path) -> str:
    with pytest.raises(FileProblems) as caught:
        read_table(path)
    return str(caught.value)


def test_cells_without_loss(tmp_path: Path) -> None:
    values = [
        ("00417", "00417"),
        (417.0, "417"),
        (0.1, "0.1"),
        (-84.12345678, "-84.12345678"),
        (0.00001, "0.00001"),
        (True, "TRUE"),
        (False, "FALSE"),
        (datetime.date(2023, 5, 1), "2023-05-01"),
        (datetime.datetime(2023, 5, 1, 10, 30), "2023-05-01T10:30:00"),
        (datetime.time(10, 30), "10:30:00"),
        (None, ""),
    ]
    path = _workbook(tmp_path, {"Sheet": [[f"c{i}" for i in range(len(values))], [value for value, _ in values]]})
    table = read_table(path)
    assert [column[0] for column in table.data] == [text for _, text in values]
    assert any("stored as numbers" in note and '"c1"' in note for note in table.notes)
    assert any("stored as dates" in note and '"c7"' in note for note in table.notes)


def test_sheet_named_specimens_wins_else_the_first_with_cells(tmp_path: Path) -> None:
    named = read_table(_workbook(tmp_path, {"Notes": [["x"], ["1"]], "specimens": [["a"], ["2"]]}))
    assert (named.sheet, named.data) == ("specimens", [["2"]])
    first = read_table(_workbook(tmp_path, {"Empty": [], "B": [["a"], ["3"]], "C": [["a"], ["4"]]}))
    assert (first.sheet, first.data) == ("B", [["3"]])
    assert any('"B"' in note for note in first.notes)


def test_rows_above_and_beside_the_table(tmp_path: Path) -> None:
    path = _workbook(tmp_path, {"S": [[], [None, None], [None, "a", "b"], [], [None, "1", "2"], [None, None, "3"]]})
    table = read_table(path)
    assert table.columns == ["a", "b"]
    assert table.data == [["1", ""], ["2", "3"]]
    assert list(table.row_numbers) == [5, 6]


def test_formula_and_error_cells_are_named(tmp_path: Path) -> None:
    path = _workbook(tmp_path, {"S": [["a", "b"], ["=1+1", "x"], ["y", "=B2"], ["z", "#N/A"]]})
    warnings = [str(problem) for problem in read_table(path).problems]
    assert any("2 formula cells: A2, B3" in text and 'sheet "S"' in text for text in warnings)
    assert any("B4" in text and "error" in text for text in warnings)


def test_formulas_far_down_are_found(tmp_path: Path) -> None:
    """The sheet is searched in pieces; no cell is lost between two."""
    rows = [["a", "b"], *([f"text number {i} of this row", "=1+1" if i % 1000 == 0 else "b"] for i in range(20_000))]
    (warning,) = read_table(_workbook(tmp_path, {"S": rows})).problems
    assert "20 formula cells: B2, B1002" in str(warning)


def test_cut_short(tmp_path: Path) -> None:
    path = _workbook(tmp_path, {"S": [["a"], ["1"]]})
    cut = tmp_path / "cut.xlsx"
    cut.write_bytes(path.read_bytes()[:-200])
    assert "cut short or damaged" in _refused(cut)


def test_damaged_member(tmp_path: Path) -> None:
    path = _workbook(tmp_path, {"S": [["a"], ["1"]]})
    with zipfile.ZipFile(path) as archive:
        info = archive.getinfo("xl/worksheets/sheet1.xml")
    data = bytearray(path.read_bytes())
    data[info.header_offset + 60] ^= 0xFF
    bad = tmp_path / "bad.xlsx"
    bad.write_bytes(data)
    message = _refused(bad)
    assert "sheet1.xml" in message and "damaged" in message


def test_document_type_is_refused(tmp_path: Path) -> None:
    path = _workbook(tmp_path, {"S": [["a"], ["1"]]})
    entity = b'<!DOCTYPE x [<!ENTITY lol "lol">]>'
    changed = _replaced(path, "xl/worksheets/sheet1.xml", lambda data: entity + data)
    message = _refused(changed)
    assert "DTD" in message and "sheet1.xml" in message


@pytest.mark.parametrize("reference", [b'r="XFD1"', b'r="B1048576"', b"\tr = 'XFD1048576'"])
def test_cells_in_far_corners_are_refused(tmp_path: Path, reference: bytes) -> None:
    """A sheet is read as a full rectangle: one cell in the last corner would take gigabytes."""
    path = _workbook(tmp_path, {"S": [["a"] * 100, ["1", "2"]]})
    changed = _replaced(
        path, "xl/worksheets/sheet1.xml", lambda data: data.replace(b'r="B2"', reference, 1).replace(b"<c\t", b"<c \t")
    )
    message = _refused(changed)
    assert "columns" in message and "rows" in message and "60,000,000 cells" in message


def test_cell_over_the_limit(tmp_path: Path) -> None:
    """openpyxl cuts long texts, so the cell is put in by hand."""
    path = _workbook(tmp_path, {"S": [["a", "b"], ["x", "MARK"]]})
    long = b"y" * 100_001
    message = _refused(_replaced(path, "", lambda data: data.replace(b"MARK", long)))
    assert "row 2" in message and 'column "b"' in message and "100,000 characters" in message


def test_bomb(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("xl/workbook.xml", "w") as member:
        for _ in range(100):
            member.write(b"0" * 1024**2)
    message = _refused(path)
    assert "would unpack to 104,857,600 bytes" in message and "200 times" in message


def test_size_that_is_a_lie(tmp_path: Path) -> None:
    """The directory says 10 bytes, the member holds more: found while unpacking."""
    path = tmp_path / "lie.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"0" * 100_000)
    data = path.read_bytes().replace((100_000).to_bytes(4, "little"), (10).to_bytes(4, "little"))
    path.write_bytes(data)
    assert "not as long as it says" in _refused(path)


def test_two_members_of_one_name(tmp_path: Path) -> None:
    path = tmp_path / "two.xlsx"
    with zipfile.ZipFile(path, "w") as archive, pytest.warns(UserWarning, match="Duplicate name"):
        archive.writestr("a.xml", b"1")
        archive.writestr("a.xml", b"2")
    assert "two members of one name" in _refused(path)


def test_zip_of_something_else(tmp_path: Path) -> None:
    path = tmp_path / "x.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", b"hello")
    assert "no meta.xml" in _refused(path)


def _ods_row(*cells: TableCell, repeated: str = "") -> TableRow:
    row = TableRow(numberrowsrepeated=repeated) if repeated else TableRow()
    for cell in cells:
        row.addElement(cell)
    return row


def _ods_text(text: str) -> TableCell:
    cell = TableCell(valuetype="string")
    cell.addElement(P(text=text))
    return cell


def _ods(tmp_path: Path, *rows: TableRow) -> Path:
    document = OpenDocumentSpreadsheet()
    table = Table(name="Specimens")
    for row in rows:
        table.addElement(row)
    document.spreadsheet.addElement(table)
    path = tmp_path / "book.ods"
    document.save(str(path))
    return path


def test_ods_cells(tmp_path: Path) -> None:
    path = _ods(
        tmp_path,
        _ods_row(*map(_ods_text, ["a", "b", "c", "d", "e"])),
        _ods_row(
            _ods_text("00417"),
            TableCell(valuetype="float", value="417"),
            TableCell(valuetype="date", datevalue="2023-05-01"),
            TableCell(valuetype="boolean", booleanvalue="true"),
            TableCell(valuetype="float", value="0.1", formula="of:=1/10"),
        ),
        _ods_row(TableCell(numbercolumnsrepeated="16384"), repeated="1048000"),
    )
    table = read_table(path)
    assert [column[0] for column in table.data] == ["00417", "417", "2023-05-01", "TRUE", "0.1"]
    assert "1 formula cells: E2" in str(table.problems[0])


@pytest.mark.parametrize("where", ["row", "cell"])
def test_ods_repeated_without_bound(tmp_path: Path, where: str) -> None:
    filled = TableCell(valuetype="float", value="1", **({"numbercolumnsrepeated": "16384"} if where == "cell" else {}))
    path = _ods(tmp_path, _ods_row(_ods_text("a")), _ods_row(filled, repeated="1048576" if where == "row" else "2"))
    message = _refused(path)
    assert "repeated" in message and "60,000,000" in message
