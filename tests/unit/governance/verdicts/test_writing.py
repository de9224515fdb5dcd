"""How verdicts are written: numbers, days, cells, and a file that is whole or not there."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from governance.verdicts import writing
from tests.factories import zoo


@pytest.mark.parametrize(
    ("value", "text"),
    [(None, ""), (0.0, "0"), (3.0, "3"), (-93.88, "-93.9"), (104.313, "104.3"), (0.04, "0"), (-0.04, "0"),
     (1e7, "10000000"), (20_037_508.96, "20037509"), (2.25, "2.2")],
)  # fmt: skip
def test_numbers_parse_and_have_a_tenth_at_most(value: float | None, text: str) -> None:
    assert writing.number_text(value) == text
    assert text == "" or abs(float(text) - (value or 0)) <= 0.05 + 1e-9


def test_days_are_iso() -> None:
    """Day 1 is 0001-01-01 (proleptic Gregorian); an unknown start is blank."""
    assert writing.day_text(1) == "0001-01-01"
    assert writing.day_text(738_641) == "2023-05-01"
    assert writing.day_text(None) == ""


@pytest.mark.parametrize("name", zoo.CELLS)
def test_cells_survive_a_reader_of_csv(name: str, tmp_path: Path) -> None:
    """RFC 4180: the standard library reads back what was written, line ends and quotation marks included."""
    cells = [zoo.CELLS[name], "x", zoo.CELLS[name]]
    line = writing._csv_line(cells)
    assert list(csv.reader(io.StringIO(line, newline=""), strict=True)) == [cells]


def test_published_pair_of_the_standard() -> None:
    """RFC 4180, section 2: "a\\r\\naa","b""b""b","c,cc" are three fields."""
    assert writing._csv_line(["a\r\naa", 'b"b"b', "c,cc"]) == '"a\r\naa","b""b""b","c,cc"\r\n'


def test_file_appears_when_it_is_whole(tmp_path: Path) -> None:
    target = tmp_path / "out.csv"
    with writing.beside(target) as file:
        file.write(b"half")
        file.flush()
        assert not target.exists()
    assert target.read_bytes() == b"half"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("error", [OSError, KeyboardInterrupt, ValueError])
def test_failure_leaves_what_was_there(tmp_path: Path, error: type[BaseException]) -> None:
    target = tmp_path / "out.csv"
    target.write_bytes(b"of an earlier run")
    with pytest.raises(error), writing.beside(target) as file:
        file.write(b"half")
        raise error
    assert target.read_bytes() == b"of an earlier run"
    assert list(tmp_path.iterdir()) == [target]


def test_others_may_read_the_file(tmp_path: Path) -> None:
    with writing.beside(tmp_path / "out.csv") as file:
        file.write(b"x")
    assert (tmp_path / "out.csv").stat().st_mode & 0o777 == 0o644
