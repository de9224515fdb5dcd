"""Text files with separators: what is detected, what is kept, what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from accessions.intake.problems import FileProblems
from accessions.intake.tables import TextTable, read_table


def _read(tmp_path: Path, data: bytes, name: str = "specimens.csv") -> TextTable:
    path = tmp_path / name
    path.write_bytes(data)
    return read_table(path)


def _refused(tmp_path: Path, data: bytes) -> str:
    with pytest.raises(FileProblems) as caught:
        _read(tmp_path, data)
    return str(caught.value)


def test_quoted_line_breaks_quotes_and_commas_are_text(tmp_path: Path) -> None:
    """Check pair of RFC 4180, section 2, rules 6 and 7."""
    table = _read(tmp_path, b'x,y,z\r\n"a\r\naa","b""b""b","c,cc"\r\n')
    assert table.data == [["a\r\naa"], ['b"b"b'], ["c,cc"]]


def test_every_cell_is_text(tmp_path: Path) -> None:
    table = _read(tmp_path, b"catalogNumber,individualCount\n00417,1e3\n")
    assert table.data == [["00417"], ["1e3"]]


@pytest.mark.parametrize(("separator", "word"), [(";", "semicolon"), ("\t", "tab"), ("|", "vertical bar")])
def test_separator_is_found_and_said(tmp_path: Path, separator: str, word: str) -> None:
    lines = [["catalogNumber", "locality", "recordedBy"], ["1", "3 km N, by the river", "A. Person"], ["2", "x", "B"]]
    table = _read(tmp_path, "\n".join(separator.join(line) for line in lines).encode())
    assert table.separator == separator
    assert table.data[1] == ["3 km N, by the river", "x"]
    assert any(word in note for note in table.notes)


def test_list_separator_inside_cells_is_not_the_separator(tmp_path: Path) -> None:
    """`` | `` parts names within a cell (Darwin Core)."""
    table = _read(tmp_path, b"catalogNumber,recordedBy\n1,A. Person | B. Other\n2,C. Third | D. Fourth\n")
    assert table.separator == ","
    assert table.data[1][0] == "A. Person | B. Other"


def test_one_column(tmp_path: Path) -> None:
    assert _read(tmp_path, b"catalogNumber\n1\n2\n").data == [["1", "2"]]


@pytest.mark.parametrize(
    ("encoding", "mark"), [("utf-8-sig", b""), ("utf-16", b""), ("utf-16-le", b""), ("utf-16-be", b""), ("utf-8", b"")]
)
def test_encodings(tmp_path: Path, encoding: str, mark: bytes) -> None:
    table = _read(tmp_path, mark + "catalogNumber,locality\n1,Córdoba\n".encode(encoding))
    assert table.columns == ["catalogNumber", "locality"]
    assert table.data == [["1"], ["Córdoba"]]


def test_windows_1252_is_read_and_said(tmp_path: Path) -> None:
    table = _read(tmp_path, "catalogNumber,locality\n1,plain\n2,Córdoba – Süd €\n".encode("cp1252"))
    assert table.data[1] == ["plain", "Córdoba – Süd €"]
    assert any("Windows-1252" in note and "line 3" in note for note in table.notes)


def test_byte_of_no_encoding_is_refused(tmp_path: Path) -> None:
    """0x81 stands for nothing in Windows-1252 and begins nothing in UTF-8."""
    message = _refused(tmp_path, b"a,b\n1,2\n3,\x81\n")
    assert "line 3" in message and "0x81" in message and "UTF-8" in message


def test_nul_byte_is_refused(tmp_path: Path) -> None:
    message = _refused(tmp_path, b"a,b\n1,2\nx\x00y,4\n")
    assert "NUL byte" in message and "line 3" in message


def test_blank_lines_are_no_rows_but_are_counted(tmp_path: Path) -> None:
    table = _read(tmp_path, b"\n\na,b\n1,2\n\n , \n,\n3,4\n")
    assert table.data == [["1", "3"], ["2", "4"]]
    assert list(table.row_numbers) == [4, 8]


def test_short_rows_are_filled_and_long_ones_named(tmp_path: Path) -> None:
    assert _read(tmp_path, b"a,b,c\n1\n1,2,3,,\n").data == [["1", "1"], ["", "2"], ["", "3"]]
    message = _refused(tmp_path, b"a,b\n1,2\n1,2,3\n4,5\n6,7,8\n")
    assert "row 3" in message and "row 5" in message and "3 cells" in message and "header 2" in message


def test_repeated_header_is_named(tmp_path: Path) -> None:
    message = _refused(tmp_path, b"eventDate,b,eventDate\n1,2,3\n")
    assert '"eventDate"' in message and "two columns" in message


def test_column_without_header(tmp_path: Path) -> None:
    assert _read(tmp_path, b"a,,b\n1,,2\n").columns == ["a", "b"]
    message = _refused(tmp_path, b"a,,b\n1,,2\n1,what,2\n")
    assert "row 3" in message and "column 2 has no header" in message and '"what"' in message


def test_cell_of_a_million_characters_is_refused(tmp_path: Path) -> None:
    message = _refused(tmp_path, b"a,b\n1,2\n3," + b"x" * 1_000_000 + b"\n")
    assert "row 3" in message and "100,000 characters" in message


@pytest.mark.parametrize("rows", [b'1,"open\n2,3\n', b'1,"x"y\n'])
def test_quotation_marks_that_do_not_fit(tmp_path: Path, rows: bytes) -> None:
    message = _refused(tmp_path, b"a,b\n" + rows)
    assert "row 2" in message and "quotation mark" in message


def test_too_many_columns(tmp_path: Path) -> None:
    message = _refused(tmp_path, ",".join(f"c{i}" for i in range(501)).encode() + b"\n1\n")
    assert "501 columns" in message and "500" in message


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \n\n", "empty"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"<html><table>", "XML or HTML"),
        (b'{"papers": []}', "JSON"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", ".xls"),
    ],
)
def test_what_is_no_table_is_told_what_it_is(tmp_path: Path, data: bytes, words: str) -> None:
    assert words in _refused(tmp_path, data)


def test_absent_file(tmp_path: Path) -> None:
    with pytest.raises(FileProblems, match="no such file"):
        read_table(tmp_path / "none.csv")


def test_equal_texts_are_one_object(tmp_path: Path) -> None:
    """A million rows that say the same hold it once."""
    table = _read(tmp_path, b"a,b\n" + b"Odonata sp,1\n" * 1000)
    assert len({id(cell) for cell in table.data[0]}) == 1


def test_progress_is_told(tmp_path: Path) -> None:
    path = tmp_path / "s.csv"
    path.write_bytes(b"a,b\n" + b"1,2\n" * 40_000)
    told: list[int] = []
    read_table(path, progress=told.append)
    assert told and told == sorted(told) and told[-1] <= 40_000
