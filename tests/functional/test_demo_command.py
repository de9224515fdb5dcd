"""``manage.py demo`` as a person runs it, each time in a process and a database of its own."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
from contextlib import closing
from pathlib import Path

import pytest
import yaml

from tests.conftest import copy_database

PROJECT = Path(__file__).resolve().parents[2]
SOURCE = yaml.safe_load((PROJECT / "fixtures" / "lindmark_register.yaml").read_text("utf-8"))
SEASONS = yaml.safe_load((PROJECT / "fixtures" / "lindmark_seasons.yaml").read_text("utf-8"))
HAND_WRITTEN = 417  # rows of lindmark_specimens.csv

pytestmark = pytest.mark.slow


def environment(database: Path) -> dict[str, str]:
    return os.environ | {"DATABASE_URL": f"sqlite:///{database}", "FIELDWRIT_FILES": str(database.parent / "files")}


def run(database: Path, *options: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", "demo", *options],
        cwd=PROJECT, env=environment(database), input=typed, capture_output=True, text=True, timeout=300,
    )  # fmt: skip


def sql(database: Path, statement: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(database)) as connection, connection:
        return connection.execute(statement).fetchall()


@pytest.fixture(scope="module")
def small(small_demo: Path) -> Path:
    """The hand-written part, made once; only read here."""
    return small_demo


@pytest.fixture
def copied(small: Path, tmp_path: Path) -> Path:
    """A demo of the test's own, with its scans."""
    shutil.copytree(small.parent / "files", tmp_path / "files")
    copy = tmp_path / "copy.sqlite3"
    copy_database(small, copy)
    return copy


def test_whole_demo_starts_over(copied: Path, migrated: Path) -> None:
    """All specimens of the source files, the verdicts of its families, the log-ins, the warning; the tables are new."""
    sql(copied, "UPDATE people_agent SET remarks = 'asked by letter' WHERE name = 'K. Lagermo'")
    made = run(copied, "--fresh", "--yes", "--no-serve")
    assert made.returncode == 0, made.stderr
    of_the_demo = {row for row in sql(copied, TABLES) if row[2] == "fieldwrit_demo"}
    assert of_the_demo, "the demo marks its database"
    assert set(sql(copied, TABLES)) - of_the_demo == set(sql(migrated, TABLES))
    assert sql(copied, MIGRATIONS) == sql(migrated, MIGRATIONS)
    assert sql(copied, "SELECT remarks FROM people_agent WHERE name = 'K. Lagermo'") == [("",)]
    total = HAND_WRITTEN + sum(series["total"] for series in SEASONS["series"])
    assert f"{total:,} specimens by layer and verdict" in made.stdout
    (figures,) = re.findall(r"^\s*specimens\s+([\d,. ]+)$", made.stdout, re.MULTILINE)
    covered, not_required, cannot, straddles, outside, missing = (int(f.replace(",", "")) for f in figures.split())
    # 520 + 640 + 499 of Costa Rica have a paper on all nine layers.
    assert covered == 1659
    # At the least what the lines of the seasons were written for: part B of LMN-2024-038; its part A (596), the terms
    # that nobody read (349), a month (140), a family name (120), coarse points (160), no method (48), Norway (24);
    # parts C and D, a closed season, a suspension, a withdrawn consent, a cap of 30 of which 36 were taken; a shipment
    # without export paper and a bequest.
    assert straddles >= 279
    assert cannot >= 596 + 349 + 140 + 120 + 160 + 48 + 24
    assert outside >= 303 + 106 + 60 + 30 + 25 + 6
    assert missing >= 448 + 17
    assert (covered + not_required) / total > 0.85
    for name in SOURCE["accounts"]:
        assert name in made.stdout
    assert SOURCE["password"] in made.stdout
    assert "not for a network" in made.stdout


def test_second_run_keeps_what_was_changed(copied: Path) -> None:
    sql(copied, "UPDATE people_agent SET remarks = 'asked by letter' WHERE name = 'K. Lagermo'")
    again = run(copied, "--no-serve")
    assert again.returncode == 0, again.stderr
    assert "there already" in again.stdout
    assert "417 specimens" in again.stdout
    assert sql(copied, "SELECT remarks FROM people_agent WHERE name = 'K. Lagermo'") == [("asked by letter",)]


def test_fresh_asks_first(copied: Path) -> None:
    sql(copied, "UPDATE people_agent SET remarks = 'asked by letter' WHERE name = 'K. Lagermo'")
    refused = run(copied, "--fresh", "--no-serve", typed="no\n")
    assert refused.returncode == 1
    assert sql(copied, "SELECT remarks FROM people_agent WHERE name = 'K. Lagermo'") == [("asked by letter",)]


TABLES = "SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY 1, 2, 3"
MIGRATIONS = "SELECT app, name FROM django_migrations ORDER BY 1, 2"


def test_the_quick_way_makes_the_tables_of_migrate(tmp_path: Path, migrated: Path) -> None:
    """The demo and these tests make their tables the quick way; ``manage.py migrate`` makes the same, to the letter."""
    slow = tmp_path / "slow.sqlite3"
    subprocess.run([sys.executable, "manage.py", "migrate", "-v0"], cwd=PROJECT, env=environment(slow), check=True)
    assert set(sql(slow, TABLES)) == set(sql(migrated, TABLES))
    assert sql(slow, MIGRATIONS) == sql(migrated, MIGRATIONS)


def test_a_demo_that_was_stopped_halfway_is_made_anew(small: Path) -> None:
    """As the one was on which these tests stand."""
    assert "made anew" in (small.parent / "said.txt").read_text("utf-8")
    assert sql(small, "SELECT ready FROM fieldwrit_demo") == [(1,)]
    assert sql(small, "SELECT name FROM sqlite_master WHERE name = 'left_over'") == []


@pytest.mark.parametrize("options", [(), ("--fresh", "--yes")])
def test_another_register_is_never_touched(copied: Path, options: tuple[str, ...]) -> None:
    """Even when told to start over."""
    sql(copied, "DROP TABLE fieldwrit_demo")
    before = copied.read_bytes()
    refused = run(copied, "--no-serve", *options)
    assert refused.returncode == 2
    assert "no demo" in refused.stderr
    assert "DATABASE_URL" in refused.stderr
    assert copied.read_bytes() == before


def test_taken_port_is_said_before_any_work(tmp_path: Path) -> None:
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        refused = run(tmp_path / "never.sqlite3", "--port", str(port))
    assert refused.returncode == 2
    assert f"Port {port} is taken" in refused.stderr
    assert "--port" in refused.stderr
    assert not (tmp_path / "never.sqlite3").exists()


def test_it_serves_until_stopped(copied: Path) -> None:
    """The sign-in page is served; an interrupt ends the server."""
    port = _free_port()
    served = subprocess.Popen(
        [sys.executable, "manage.py", "demo", "--port", str(port)], cwd=PROJECT, env=environment(copied),
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True,
        preexec_fn=_interruptible,
    )  # fmt: skip
    try:
        page = _page(f"http://127.0.0.1:{port}/sign-in/", served)
        os.killpg(served.pid, signal.SIGINT)
        said, _ = served.communicate(timeout=60)
    finally:
        served.kill()
        served.communicate()
    assert "Sign in" in page
    assert f"http://127.0.0.1:{port}/" in said
    assert "Traceback" not in said


def _free_port() -> int:
    """Below those that the system gives to connections: one of these might take it before the server does."""
    for port in range(20_000 + os.getpid() % 10_000, 32_000):
        with closing(socket.socket()) as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
        return port
    raise AssertionError("no port is free")


def _interruptible() -> None:
    """As at a terminal: where tests run in the background, interrupts are ignored, and what they start inherits it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _page(address: str, served: subprocess.Popen[str]) -> str:
    for _ in range(240):
        assert served.poll() is None, "the server ended"
        try:
            with urllib.request.urlopen(address, timeout=10) as answer:
                return str(answer.read().decode())
        except OSError:
            time.sleep(0.25)
    raise AssertionError("no page within a minute")


READ_VERDICTS = """
import json
import django
django.setup()
from governance.verdicts.models import Standing
rows = Standing.objects.values_list(
    "specimen__catalog_number", "worst", "ruling__strip", "ruling__digest", "ruling__layers__outcome__digest"
)
print(json.dumps(sorted(rows)))
"""


def verdicts_in(address: str) -> list[list[object]]:
    """Number, worst verdict, strip and the digests of ruling and outcomes of every specimen; digests hold every
    finding, measure and sentence.
    """
    read = subprocess.run(
        [sys.executable, "-c", READ_VERDICTS], cwd=PROJECT, capture_output=True, text=True, timeout=120,
        env=os.environ | {"DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "governance.config.settings"},
    )  # fmt: skip
    assert read.returncode == 0, read.stderr
    found: list[list[object]] = json.loads(read.stdout)
    return found


@pytest.mark.postgres
def test_both_kinds_of_database_give_the_same_verdicts(small: Path, postgres_copy: str, tmp_path: Path) -> None:
    """The same input gives the same verdict, byte for byte (VERDICTS section 7)."""
    made = subprocess.run(
        [sys.executable, "manage.py", "demo", "--small", "--no-serve"], cwd=PROJECT, capture_output=True, text=True,
        env=os.environ | {"DATABASE_URL": postgres_copy, "FIELDWRIT_FILES": str(tmp_path / "files")}, timeout=300,
    )  # fmt: skip
    assert made.returncode == 0, made.stdout + made.stderr
    in_sqlite = verdicts_in(f"sqlite:///{small}")
    assert len(in_sqlite) == 9 * HAND_WRITTEN, "nine layers of every specimen"
    assert verdicts_in(postgres_copy) == in_sqlite
