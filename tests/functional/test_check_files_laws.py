"""The same rows give the same verdicts: twice, in another order, in two halves, in another kind of file.

And the demo's rows show what their authors, who judged nothing by machine, said that they show.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import openpyxl
import pytest
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from governance.config.demo.sheets import read_rules
from governance.engine import HouseRules, Layer
from governance.verdicts.check import check_files
from governance.verdicts.writing import write_csv
from tests.functional.small_files import FIXTURES, PAPERS, SPECIMENS, Checked, read_rows, write_rows

OWN = {"accessionNumber", "siteName", "countRange", "unit", "exportedOn", "importedOn", "transferredOn"}
Rows = list[dict[str, str]]


@pytest.fixture(scope="module")
def rows() -> Rows:
    return read_rows(SPECIMENS)


def _numbered(found: Rows) -> set[tuple[str, ...]]:
    """Rows of verdicts by catalogue number, without the number of the row."""
    return {tuple(value for key, value in row.items() if key != "row") for row in found}


def test_same_files_give_the_same_bytes(checked: Checked) -> None:
    first = checked(out="first.csv").out.read_bytes()
    assert checked(out="second.csv").out.read_bytes() == first
    assert len(first) > 100_000


def test_order_of_rows_is_irrelevant(checked: Checked, rows: Rows) -> None:
    """Caps included: what was taken before is told by dates, not by lines."""
    forward = checked(out="forward.csv").rows
    backward = checked(rows[::-1], out="backward.csv").rows
    assert _numbered(backward) == _numbered(forward)


def _papers_without(path: Path, *keys: str) -> Path:
    papers = json.loads(PAPERS.read_text(encoding="utf-8"))
    for paper in papers["papers"]:
        for version in paper["versions"]:
            for key in keys:
                version.pop(key, None)
    path.write_text(json.dumps(papers), encoding="utf-8")
    return path


def test_splitting_the_file_changes_nothing(checked: Checked, rows: Rows, tmp_path: Path) -> None:
    """Caps apart, which count over the whole file, and taxa, whose classification is what the whole file says."""
    papers = _papers_without(tmp_path / "uncapped.json", "caps", "taxa")
    whole = checked(papers=papers, out="whole.csv").rows
    halves = [checked(half, papers, out="half.csv").rows for half in (rows[::2], rows[1::2])]
    assert _numbered([*halves[0], *halves[1]]) == _numbered(whole)


def test_a_row_alone_is_judged_as_among_the_others(checked: Checked, rows: Rows, tmp_path: Path) -> None:
    papers = _papers_without(tmp_path / "uncapped.json", "caps", "taxa")
    whole = checked(papers=papers, out="whole.csv").rows
    for number in (0, 57, 211, 416):
        alone = checked([rows[number]], papers, out="alone.csv").rows
        assert _numbered(alone) == _numbered([row for row in whole if row["row"] == str(number + 1)]), number


def _windows(path: Path, rows: Rows) -> Path:
    return write_rows(path, rows, delimiter=";", encoding="cp1252")


def _tabs(path: Path, rows: Rows) -> Path:
    return write_rows(path, rows, delimiter="\t", encoding="utf-8-sig")


def _utf_16(path: Path, rows: Rows) -> Path:
    return write_rows(path, rows, delimiter="\t", encoding="utf-16")


def _xlsx(path: Path, rows: Rows) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(list(rows[0]))
    for row in rows:
        sheet.append([value or None for value in row.values()])
    book.save(path)
    return path


def _ods(path: Path, rows: Rows) -> Path:
    document = OpenDocumentSpreadsheet()
    table = Table(name="Specimens")
    for cells in (list(rows[0]), *(list(row.values()) for row in rows)):
        line = TableRow()
        for text in cells:
            cell = TableCell(valuetype="string") if text else TableCell()
            if text:
                cell.addElement(P(text=text))
            line.addElement(cell)
        table.addElement(line)
    document.spreadsheet.addElement(table)
    document.write(str(path))
    return path


def _archive(path: Path, rows: Rows) -> Path:
    """A Darwin Core archive (TDWG text guide): tabs, no quoting, own columns under their plain names."""
    base = "http://rs.tdwg.org/dwc/terms/"
    fields = "".join(
        f'<field index="{n}" term="{escape(name if name in OWN else base + name)}"/>' for n, name in enumerate(rows[0])
    )
    meta = (
        '<archive xmlns="http://rs.tdwg.org/dwc/text/"><core encoding="UTF-8" fieldsTerminatedBy="\\t" '
        f'linesTerminatedBy="\\n" fieldsEnclosedBy="" ignoreHeaderLines="1" rowType="{base}Occurrence">'
        f'<files><location>occurrence.txt</location></files><id index="0"/>{fields}</core></archive>'
    )
    core = io.StringIO()
    writer = csv.writer(core, delimiter="\t", quoting=csv.QUOTE_NONE, quotechar=None, lineterminator="\n")
    writer.writerows([list(rows[0]), *(list(row.values()) for row in rows)])
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("meta.xml", meta)
        archive.writestr("occurrence.txt", core.getvalue())
    return path


@pytest.mark.parametrize(
    ("make", "name"),
    [
        (_windows, "a.csv"), (_tabs, "a.tsv"), (_utf_16, "a.txt"),
        (_xlsx, "a.xlsx"), (_ods, "a.ods"), (_archive, "a.zip"),
    ],
    ids=["Windows-1252 and semicolons", "tabs with a byte order mark", "UTF-16", "XLSX", "ODS", "Darwin Core archive"],
)  # fmt: skip
def test_kind_of_file_is_irrelevant(
    checked: Checked, rows: Rows, tmp_path: Path, make: Callable[[Path, Rows], Path], name: str
) -> None:
    """The same cells give the same bytes."""
    run = checked(make(tmp_path / name, rows))
    assert run.status == 0, run.told
    assert run.out.read_bytes() == checked(out="csv.csv").out.read_bytes()


def test_typed_cells_of_a_workbook(checked: Checked, tmp_path: Path) -> None:
    """Numbers and dates as Excel types them: 0.5 is 0.5, a day is that day, and a text of figures keeps its zeros."""
    from datetime import date

    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["catalogNumber", "eventDate", "decimalLatitude", "decimalLongitude", "geodeticDatum",
                  "coordinateUncertaintyInMeters", "countryCode"])  # fmt: skip
    sheet.append(["00417", date(2019, 6, 18), 61.9617, 15.3051, "WGS84", 30, "SE"])
    book.save(tmp_path / "typed.xlsx")
    run = checked(tmp_path / "typed.xlsx", PAPERS, "--require", "land")
    (row,) = run.rows
    assert (row["catalogNumber"], row["verdict"], row["paper"]) == ("00417", "missing", "")
    written = [{"catalogNumber": "00417", "eventDate": "2019-06-18", "decimalLatitude": "61.9617",
                "decimalLongitude": "15.3051", "geodeticDatum": "WGS84", "coordinateUncertaintyInMeters": "30",
                "countryCode": "SE", "accessionNumber": "LMN-2019-112"}]  # fmt: skip
    assert [row["verdict"] for row in checked(written, PAPERS, "--require", "land").rows] == ["covered"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Rows:
    """The demo's files, judged with its invented rules."""
    check = check_files(
        SPECIMENS,
        PAPERS,
        house=HouseRules(),
        require=tuple(Layer),
        rules=read_rules(FIXTURES / "lindmark_rules.json"),
    )
    out = tmp_path_factory.mktemp("demo") / "verdicts.csv"
    write_csv(check, out)
    return read_rows(out)


def _expected() -> list[Any]:
    return [pytest.param(row, id="-".join(row[k] for k in ("catalogNumber", "layer", "finding"))) for row in
            read_rows(FIXTURES / "lindmark_expected.csv")]  # fmt: skip


def test_demo_has_every_verdict(demo: Rows) -> None:
    assert {row["verdict"] for row in demo} == {
        "covered", "not-required", "cannot-tell", "straddles", "outside", "missing"
    }  # fmt: skip


@pytest.mark.parametrize("expected", _expected())
def test_demo_shows_what_its_authors_say(demo: Rows, expected: dict[str, str]) -> None:
    found = [
        row for row in demo if (row["catalogNumber"], row["layer"]) == (expected["catalogNumber"], expected["layer"])
    ]
    assert {row["verdict"] for row in found} == {expected["verdict"]}, expected["tell"]
    assert expected["finding"] in {row["finding"] for row in found}, expected["tell"]
    if expected["paper"]:
        assert {row["paper"] for row in found} == {expected["paper"]}, expected["tell"]
