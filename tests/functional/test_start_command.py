"""``manage.py start`` as a person runs it again and again: what it says of the tables is what it did to them."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.conftest import copy_database

PROJECT = Path(__file__).resolve().parents[2]
TOLD = ("--name", "Vendel House of Nature", "--country", "Sweden", "--full-name", "Asta Vendel", "--user", "asta",
        "--password-from-env", "WORD")  # fmt: skip

pytestmark = pytest.mark.slow


def run(database: Path, *options: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "tests.quick_manage", "start", "--no-serve", *options],
        cwd=PROJECT, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=300,
        env=os.environ | {"DATABASE_URL": f"sqlite:///{database}", "WORD": "a quiet shelf of jars"},
    )  # fmt: skip
    return done.stdout + done.stderr


def sql(database: Path, *statements: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(database)) as connection, connection:
        return [row for statement in statements for row in connection.execute(statement).fetchall()]


def test_again_and_after_an_older_release(migrated: Path, tmp_path: Path) -> None:
    """The tables of the newest release of all are those of one before it when a migration is forgotten that may be
    done twice."""
    database = tmp_path / "own.sqlite3"
    copy_database(migrated, database)
    assert "You sign in as asta" in run(database, *TOLD)

    before = sql(database, "SELECT * FROM django_migrations ORDER BY id")
    assert "nothing was asked or changed" in run(database)
    assert sql(database, "SELECT * FROM django_migrations ORDER BY id") == before

    sql(database, "DELETE FROM django_migrations WHERE app = 'search'")
    said = run(database)
    assert "its tables were changed, and nothing was asked" in said
    assert "or changed" not in said
    assert sql(database, "SELECT name FROM django_migrations WHERE app = 'search'") == [("0001_places_index",)]


def test_a_database_of_another_project(migrated: Path, tmp_path: Path) -> None:
    """One with an app called "people", as many have, and the apps of the framework that this project has, too."""
    database = tmp_path / "other.sqlite3"
    sql(
        database,
        "CREATE TABLE django_migrations (id integer PRIMARY KEY, app text, name text, applied datetime)",
        "INSERT INTO django_migrations (app, name, applied) VALUES ('contenttypes', '0001_initial', '2026-11-26'), "
        "('auth', '0001_initial', '2026-11-26'), ('people', '0001_initial', '2026-11-26')",
        "CREATE TABLE django_content_type (id integer PRIMARY KEY, app_label text, model text)",
        "CREATE TABLE auth_permission (id integer PRIMARY KEY)",
        "CREATE TABLE people_user (id integer PRIMARY KEY, password text, username text)",
    )
    before = database.read_bytes()
    assert "holds tables of something else; nothing was touched" in run(database, *TOLD)
    assert database.read_bytes() == before
