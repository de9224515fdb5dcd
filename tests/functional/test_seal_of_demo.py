"""The seal of the demo: whole as it was built, and every hand-made change of its file is found and named.

The changes are made by sqlite3 alone, as somebody who owns the machine could make them.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import copy_database
from tests.factories.sealed import verified_head

PROJECT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.slow


@pytest.fixture
def copied(small_demo: Path, tmp_path: Path) -> Path:
    """A demo of the test's own, with its scans."""
    shutil.copytree(small_demo.parent / "files", tmp_path / "files")
    copy_database(small_demo, tmp_path / "copy.sqlite3")
    return tmp_path / "copy.sqlite3"


def manage(database: Path, *command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *command], cwd=PROJECT, capture_output=True, text=True, timeout=300,
        env=os.environ | {"DATABASE_URL": f"sqlite:///{database}", "FIELDWRIT_FILES": str(database.parent / "files")},
    )  # fmt: skip


def verified(database: Path, *options: str) -> tuple[int, dict[str, Any]]:
    done = manage(database, "verify_seal", "--json", *options)
    assert done.stdout, done.stderr
    return done.returncode, json.loads(done.stdout)


def one(kept: sqlite3.Connection, statement: str, *values: Any) -> Any:
    """The first cell of a SELECT."""
    return kept.execute(statement, values).fetchone()[0]


def test_the_demo_is_as_it_was_sealed(copied: Path) -> None:
    """And a few lines that share no code with the register come to the same head."""
    entries, sha256, wrong = verified_head(str(copied))
    assert wrong == []
    status, report = verified(copied)
    assert (report["problems"], status) == ([], 0)
    assert (report["entries"], report["head"]) == (entries, sha256)
    assert entries > 2000
    assert report["files"] > 10


def test_whatever_is_changed_in_the_file_is_found(copied: Path) -> None:
    """Nine hands in one file: none hides another."""
    with closing(sqlite3.connect(copied)) as kept, kept:
        paper = one(kept, "SELECT id FROM papers_paper ORDER BY id LIMIT 1")
        old = one(kept, "SELECT min(history_id) FROM papers_historicalpaper WHERE id = ?", paper)
        kept.execute("UPDATE papers_historicalpaper SET issuer = 'Nobody' WHERE history_id = ?", [old])
        gone = one(kept, "SELECT max(history_id) FROM people_historicalagent WHERE history_type = '+'")
        kept.execute("DELETE FROM people_historicalagent WHERE history_id = ?", [gone])
        site = one(kept, "SELECT id FROM sites_site ORDER BY id LIMIT 1")
        kept.execute("UPDATE sites_site SET name = 'Elsewhere' WHERE id = ?", [site])
        link = one(kept, "SELECT max(id) FROM papers_paperlink")
        kept.execute("UPDATE papers_paperlink SET paper_id = (SELECT max(id) FROM papers_paper) - 1, "
                     "linked_at = '2001-01-01 00:00:00' WHERE id = ?", [link])  # fmt: skip
        result, run = kept.execute("SELECT id, run_id FROM verdicts_result ORDER BY id DESC LIMIT 1").fetchone()
        kept.execute("UPDATE verdicts_result SET event_id = event_id + 1 WHERE id = ?", [result])
        standing = one(kept, "SELECT min(specimen_id) FROM verdicts_standing WHERE worst > 0")
        kept.execute("UPDATE verdicts_standing SET worst = 0, cells = cells | 1 WHERE specimen_id = ?", [standing])
        first, second = one(kept, "SELECT min(history_id) FROM sites_historicalsite"), None
        second = first + 1
        for before, after in ((first, -1), (second, first), (-1, second)):
            kept.execute("UPDATE sites_historicalsite SET history_id = ? WHERE history_id = ?", [after, before])
        name = one(kept, "SELECT min(id) FROM names_writtenname WHERE genus <> ''")
        kept.execute("UPDATE names_writtenname SET genus = 'Aeshna' WHERE id = ?", [name])
        scan, stored = kept.execute("SELECT id, stored_name FROM scans_scan ORDER BY id LIMIT 1").fetchone()
    with (copied.parent / "files" / "store" / stored).open("ab") as content:
        content.write(b" ")
    status, report = verified(copied)
    found = {(problem["kind"], problem["table"], problem["key"]) for problem in report["problems"]}
    assert status == 1
    assert {
        ("altered", "history of papers", old), ("gone", "history of agents", gone),
        ("record", "sites", site), ("altered", "links of papers", link),
        ("verdict", "assessments", run), ("verdict", "verdicts", standing),
        ("altered", "history of sites", first), ("altered", "history of sites", second),
        ("altered", "names as written", name), ("file", "files", scan),
    } <= found  # fmt: skip
    assert all(problem["what"] and problem["todo"] for problem in report["problems"])


def test_an_older_copy_is_known_by_a_head_that_was_kept(copied: Path, tmp_path: Path) -> None:
    older = tmp_path / "older.sqlite3"
    copy_database(copied, older)
    assert verified(copied, "--no-files")[0] == 0  # the check itself is a change
    kept = manage(copied, "keep_seal_head", "--to", str(tmp_path / "ledger.txt"))
    assert kept.returncode == 0, kept.stderr
    assert verified(copied, "--no-files", "--from-head", str(tmp_path / "ledger.txt"))[0] == 0
    for file in (tmp_path / "files" / "store" / "seal-heads").iterdir():
        file.unlink()
    status, report = verified(older, "--no-files", "--from-head", str(tmp_path / "ledger.txt"))
    assert status == 1
    assert "older copy" in report["problems"][0]["what"]
    assert verified(older, "--no-files")[0] == 0  # nothing in it can tell
