"""A machine that stops while papers are saved leaves whole papers and nothing else.

It kills with SIGKILL at moments that are not chosen; it shows nothing about disks that lose what they said was written.
"""

from __future__ import annotations

import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROUNDS = 5
ROOT = Path(__file__).parents[3]


@pytest.fixture
def database(tmp_path: Path) -> Path:
    path = tmp_path / "register.sqlite3"
    subprocess.run([*_command(), "prepare"], env=_environment(path), cwd=ROOT, check=True, timeout=300)
    return path


def _command() -> list[str]:
    return [sys.executable, "-m", "tests.functional.papers.registering"]


def _environment(path: Path) -> dict[str, str]:
    return os.environ | {"DATABASE_URL": f"sqlite:///{path}", "FIELDWRIT_SECRET_KEY": "x" * 60}


@pytest.mark.slow
def test_after_kill_9_every_paper_is_whole(database: Path) -> None:
    seed = random.randrange(2**32)
    moments = random.Random(seed)
    whole = 0
    for _ in range(ROUNDS):
        process = subprocess.Popen(_command(), env=_environment(database), cwd=ROOT, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        for _begun in range(moments.randint(1, 4)):
            process.stdout.readline()
        time.sleep(moments.uniform(0.0, 0.3))
        process.send_signal(signal.SIGKILL)
        process.communicate(timeout=60)
        whole += _check(database, seed)
    assert whole, f"no paper was ever saved, so nothing was shown; seed {seed}"


def _check(database: Path, seed: int) -> int:
    """How many papers there are, each whole.

    ``full_object`` has 5 turns, 2 versions, 7 places, 3 taxa (1 after the correction), 6 words, 2 people, 1 season,
    3 caps, 2 conditions; there is one link, and a mark for each of the two actions.
    """
    with sqlite3.connect(database) as connection:
        connection.create_function("REGEXP", 2, lambda form, text: bool(re.search(form, text)))  # in our constraints
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        papers = [key for (key,) in connection.execute("SELECT id FROM papers_paper")]
        for paper in papers:
            found = {name: connection.execute(sql, [paper]).fetchone()[0] for name, sql in _COUNTS.items()}
            corrected = found["marks"] == 2
            assert found == _WHOLE | ({"marks": 2, "taxa": 1, "taxa ever": 7} if corrected else {}), (paper, seed)
        of_none = "SELECT COUNT(*) FROM papers_historicalpaper WHERE id NOT IN (SELECT id FROM papers_paper)"
        assert connection.execute(of_none).fetchone() == (0,), seed
    return len(papers)


_OF_VERSION = "SELECT COUNT(*) FROM papers_{} x JOIN papers_paperversion v ON v.id = x.version_id WHERE v.paper_id = ?"
_COUNTS = {
    "turns": "SELECT COUNT(*) FROM papers_paperstatus WHERE paper_id = ?",
    "versions": "SELECT COUNT(*) FROM papers_paperversion WHERE paper_id = ?",
    "places": _OF_VERSION.format("versionplace"),
    "taxa": _OF_VERSION.format("versiontaxon"),
    "words": _OF_VERSION.format("versionword"),
    "people": _OF_VERSION.format("versionperson"),
    "seasons": _OF_VERSION.format("versionseason"),
    "caps": _OF_VERSION.format("versioncap"),
    "conditions": _OF_VERSION.format("condition"),
    "links": "SELECT COUNT(*) FROM papers_paperlink WHERE paper_id = ?",
    "history": "SELECT COUNT(*) FROM papers_historicalpaper WHERE id = ?",
    "versions ever": "SELECT COUNT(*) FROM papers_historicalpaperversion WHERE paper_id = ?",
    "taxa ever": _OF_VERSION.format("historicalversiontaxon"),
    "marks": "SELECT COUNT(*) FROM material_touch WHERE scope = 'paper' AND key = ?",
}
_WHOLE = {
    "turns": 5, "versions": 2, "places": 7, "taxa": 3, "words": 6, "people": 2, "seasons": 1, "caps": 3,
    "conditions": 2, "links": 1, "history": 1, "versions ever": 2, "taxa ever": 3, "marks": 1,
}  # fmt: skip
