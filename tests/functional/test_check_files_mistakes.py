"""A mistake in the files or on the command line: exit status 2, everything told at once, nothing written."""

from __future__ import annotations

import json
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from tests.functional.small_files import FIXTURES, PAPERS, SPECIMENS, Checked, a_paper, a_row, read_rows, write_rows

PROJECT = FIXTURES.parent
WRONG_SPECIMENS = FIXTURES / "lindmark_with_mistakes.csv"
WRONG_PAPERS = FIXTURES / "lindmark_papers_with_mistakes.json"

MESSAGES = (
    # where, and words that the message must hold: what was found, what was expected
    ("papers[0].kind", '"collection-permit"', '"collecting-permit"'),
    ("papers[1].layers[0]", '"colecting"', '"collecting"'),
    ("papers[1].jurisdiction", '"SW"', "ISO 3166-1"),
    ("papers[1].versions[0].in_force_from", '"2025-02-30"', "not a day in the calendar"),
    ("papers[2].isued_on", '"isued_on"', '"issued_on"'),
    ("papers[2].versions[0].in_force_to", "2025-05-01", "before it starts on 2025-09-30"),
    ("papers[3].versions[0].places.include[0]", "crosses", "LND-2025-904"),
    ("papers[4].versions[0].places.include[0]", "not closed", "15.27, 61.9"),
    ("papers[4].reference", '"LND-2025-904"', "unique"),
    ("papers[5].versions[0].closed_seasons[0][1]", '"02-31"', "MM-DD"),
    ("papers[5].versions[1].in_force_from", "2025-05-01", "papers[5].versions[0]"),
    ("papers[5].versions[1].places.include[0].point", "61.95, 95.3", "[longitude, latitude]"),
    ("papers[5].versions[1].places.include[0].radius_m", "radius", "more than 0"),
    ("papers[6].suspensions[0]", "2025-06-10", "before 2025-06-20"),
    ("papers[6].versions[0].people.assistants", '"superwised"', '"supervised"'),
    ("papers[6].versions[0].caps[0].per", '"month"', "paper, year, site, event"),
    ("papers[6].versions[0].caps[0].limit", "-5", "at least 0"),
    ("papers[7].reference", "missing", "unique in the file"),
    ("papers[7].layers", "0", "at least 1"),
    ("papers[7].covers.species", '"species"', '"specimens"'),
)


def test_all_mistakes_are_told_at_once(checked: Checked, tmp_path: Path) -> None:
    run = checked(WRONG_SPECIMENS, WRONG_PAPERS)
    assert run.status == 2
    assert list(tmp_path.iterdir()) == []
    lines = run.told.splitlines()
    for where, found, expected in MESSAGES:
        about = [
            line
            for line in lines
            if f"lindmark_papers_with_mistakes.json, key {where} " in line or f"key {where}:" in line
        ]
        assert any(found in line and expected in line for line in about), (where, about)
    assert len(lines) == len(MESSAGES)
    assert run.said == ""


def test_mistakes_of_both_files_are_told_together(checked: Checked, tmp_path: Path) -> None:
    specimens = tmp_path / "twice.csv"
    specimens.write_text("eventDate,date of event,eventDate\n2023,2023,2023\n")
    run = checked(specimens, [a_paper(kind="permit")])
    assert run.status == 2
    assert "twice.csv" in run.told
    assert "papers[0].kind" in run.told
    assert not run.out.exists()


def test_rows_with_mistakes_are_judged_all_the_same(checked: Checked) -> None:
    """Cells that cannot be read are findings of their rows; repeated numbers and unknown codes are warnings."""
    run = checked(WRONG_SPECIMENS, [a_paper(version={"in_force_from": "2020-01-01", "in_force_to": "2020-12-31"})])
    assert run.status == 0
    by_row: dict[str, set[str]] = {}
    for row in run.rows:
        by_row.setdefault(row["row"], set()).add(row["finding"])
    assert len(by_row) == len(read_rows(WRONG_SPECIMENS)) == 14
    for number in ("1", "2", "3"):  # 2020-06-31; 03/04/2025; an interval that ends before it starts
        assert "date-unreadable" in by_row[number]
    assert "date-conflict" in by_row["4"]
    for number in ("5", "6", "7", "11"):  # a comma for a point; 161 degrees; one axis; a footprint that crosses itself
        assert "coordinates-invalid" in by_row[number]
    assert "SWE" in run.told  # row 8
    assert '"LMN-FW-0900012"' in run.told
    assert run.told.count("Warning:") == 3


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--require", "collecting,colecting"), ('"colecting"', "protected-site")),
        (("--assumed-radius", "wide"), ('"wide"', "metres")),
        (("--assumed-radius", "nan"), ('"nan"', "metres")),
        (("--assumed-radius", "-1"), ('"-1"', "metres")),
        (("--assumed-radius", "inf"), ('"inf"', "metres")),
        (("--datum-allowance", "none"), ('"none"', "metres")),
        (("--datum-allowance", "1e9"), ('"1e9"', "metres")),
    ],
)
def test_options_that_cannot_be(tmp_path: Path, options: tuple[str, ...], words: tuple[str, ...]) -> None:
    run = _process(tmp_path, *options)
    assert run.returncode == 2
    assert all(word in run.stderr for word in words), run.stderr
    assert "Traceback" not in run.stderr
    assert not (tmp_path / "out.csv").exists()


@pytest.mark.parametrize(
    ("out", "words"), [("out.txt", (".csv", ".xlsx")), ("no/such/out.csv", ("no folder", "no/such"))]
)
def test_out_that_cannot_be(checked: Checked, tmp_path: Path, out: str, words: tuple[str, ...]) -> None:
    run = checked([a_row()], [a_paper()], out=out)
    assert run.status == 2
    assert all(word in run.told for word in words), run.told
    assert not run.out.exists()


@pytest.mark.parametrize("name", ["a.csv", "a.xlsx"])
def test_out_that_is_a_folder(checked: Checked, tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()
    run = checked([a_row()], [a_paper()], out=name)
    assert run.status == 2
    assert name in run.told
    assert sorted(path.name for path in tmp_path.iterdir()) == [name, "papers.json", "specimens.csv"]


@pytest.mark.parametrize("missing", ["specimens", "papers"])
def test_file_that_is_not_there(checked: Checked, tmp_path: Path, missing: str) -> None:
    files: dict[str, Any] = {"specimens": SPECIMENS, "papers": PAPERS, missing: tmp_path / "nowhere.x"}
    run = checked(files["specimens"], files["papers"])
    assert run.status == 2
    assert "nowhere.x" in run.told
    assert not run.out.exists()


@pytest.mark.parametrize(
    "content", [b"", b"\n\n", b"catalogNumber,eventDate\n", b"colour,weight\nred,3\n", b"\x00\xff\x00"]
)
def test_specimens_that_are_none(checked: Checked, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.csv"
    path.write_bytes(content)
    run = checked(path, [a_paper()])
    assert run.status == 2
    assert run.told.startswith("odd.csv")
    assert not run.out.exists()


def test_papers_that_are_no_json(checked: Checked, tmp_path: Path) -> None:
    path = tmp_path / "broken.json"
    path.write_text('{"papers": [')
    run = checked([a_row()], path)
    assert run.status == 2
    assert "broken.json" in run.told
    assert "Traceback" not in run.told


def test_paper_without_links_is_named_once(checked: Checked) -> None:
    run = checked([a_row()], [a_paper(covers={})])
    assert run.status == 0
    assert run.told.count('paper "COL-1" is linked to nothing') == 1
    assert [row["verdict"] for row in run.rows] == ["missing"]


def _command(folder: Path, specimens: Path, *options: str, out: str = "out.csv") -> list[str]:
    command = [sys.executable, str(PROJECT / "manage.py"), "check_files", str(specimens), "--papers", str(PAPERS)]
    return [*command, "--out", str(folder / out), *options]


def _process(
    folder: Path, *options: str, out: str = "out.csv", limit_bytes: int = 0
) -> subprocess.CompletedProcess[str]:
    def limit() -> None:
        if limit_bytes:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))

    command = _command(folder, SPECIMENS, *options, out=out)
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120, preexec_fn=limit)


@pytest.mark.parametrize("name", ["out.csv", "out.xlsx"])
def test_full_disk(tmp_path: Path, name: str) -> None:
    """A limit on the size of files stands in for a disk that fills up while the verdicts are written."""
    run = _process(tmp_path, out=name, limit_bytes=20_000)
    assert run.returncode == 2, run.stderr
    assert name in run.stderr
    assert "cannot be written" in run.stderr
    assert "Traceback" not in run.stderr
    assert list(tmp_path.iterdir()) == []


def test_killed_while_writing_leaves_no_verdicts(tmp_path: Path) -> None:
    """kill -9 as soon as the file beside OUT appears: what is there is never half an OUT."""
    rows = read_rows(SPECIMENS) * 60
    specimens = write_rows(tmp_path / "many.csv", rows)
    process = subprocess.Popen(
        _command(tmp_path, specimens), cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    deadline = time.monotonic() + 120
    try:
        while process.poll() is None and time.monotonic() < deadline:
            begun = [path for path in tmp_path.glob(".out.csv.*") if path.stat().st_size > 0]
            if begun:
                break
            time.sleep(0.002)
        assert process.poll() is None, "the run ended before anything was seen of its writing"
        process.send_signal(signal.SIGKILL)
    finally:
        process.kill()
        process.wait()
    assert begun
    assert not (tmp_path / "out.csv").exists()


def test_interrupted_run_cleans_up(checked: Checked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while writing: neither OUT nor the file beside it stays."""
    from governance.verdicts import writing

    def interrupted(*_: Any) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(writing, "_specimen_lines", interrupted)
    with pytest.raises(KeyboardInterrupt):
        checked([a_row()], [a_paper()])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["papers.json", "specimens.csv"]


def test_specimens_are_not_written_over(checked: Checked, tmp_path: Path) -> None:
    """OUT is the file of specimens: a slip that would cost the only copy of a delivery."""
    specimens = write_rows(tmp_path / "delivery.csv", [a_row()])
    before = specimens.read_bytes()
    run = checked(specimens, [a_paper()], out="delivery.csv")
    assert specimens.read_bytes() == before
    assert run.status == 2


def test_papers_with_mistakes_are_what_the_messages_are_about() -> None:
    """The fixture holds what this page says it holds."""
    papers = json.loads(WRONG_PAPERS.read_text(encoding="utf-8"))["papers"]
    assert len(papers) == 8
    assert {int(where[7]) for where, _, _ in MESSAGES} == set(range(8))
