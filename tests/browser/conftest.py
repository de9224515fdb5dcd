"""A real browser before a real server: the demo in a file of its own, served by a process of its own.

The demo is made once for all; every server works on a copy, so that no test sees what another changed.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect, sync_playwright

from tests.browser.forked import QuickHasher
from tests.conftest import Once, copy_database

PROJECT = Path(__file__).resolve().parents[2]
REGISTER = yaml.safe_load((PROJECT / "fixtures" / "lindmark_register.yaml").read_text("utf-8"))
PASSWORD: str = REGISTER["password"]
ACCOUNT_OF_ROLE: dict[str, str] = {role: name for name, (_, _, role, _) in REGISTER["accounts"].items()}
NAMES_OF_CHROMIUM = (
    "chromium-headless-shell", "chromium", "chromium-browser", "google-chrome", "google-chrome-stable",
)  # fmt: skip
"""The first that is there: Chromium without all that a window on a screen needs costs least."""

DESK: ViewportSize = {"width": 1440, "height": 900}
TABLET: ViewportSize = {"width": 820, "height": 1180}

HERE = Path(__file__).resolve().parent

PATIENCE_MS = 30_000
"""How long something may take to be there: only a test that fails waits so long, and the machine may be busy."""

expect.set_options(timeout=PATIENCE_MS)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything here needs Chromium and takes its time."""
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.slow)


@dataclass(frozen=True)
class Server:
    """A server of the demo, and the file in which its register stands."""

    address: str
    database: Path

    def key(self, table: str, condition: str = "1 = 1") -> int:
        """The primary key of the first row that meets a condition."""
        with closing(sqlite3.connect(self.database)) as connection:
            row = connection.execute(f"SELECT id FROM {table} WHERE {condition} ORDER BY id").fetchone()
        assert row, f"the demo has no row in {table} where {condition}"
        return int(row[0])


def environment(database: Path) -> dict[str, str]:
    return os.environ | {
        "DATABASE_URL": f"sqlite:///{database}",
        "FIELDWRIT_FILES": str(database.parent / "files"),
        "FIELDWRIT_SECRET_KEY": "browser tests " * 5,
    }


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser of the system."""
    found = next(filter(None, map(shutil.which, NAMES_OF_CHROMIUM)), None)
    if found is None:
        pytest.skip(f"no Chromium on this machine (looked for {', '.join(NAMES_OF_CHROMIUM)})")
    return found


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    # Playwright leaves an event loop in this process, and tests of the register that come after use the database beside
    # it; nothing runs at the same time.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        yield running
        running.close()


@pytest.fixture(scope="session")
def demo_file(once: Once, small_demo: Path) -> Path:
    """The hand-written part of the demo, and done what waited for the background; once for all processes of a run."""
    with once("demo_in_browser") as (folder, is_new):
        database = folder / "demo.sqlite3"
        if is_new:
            copy_demo(small_demo, database)
            _manage(database, "db_worker", "--batch")
            _hash_quickly(database)
        return database


def _hash_quickly(database: Path) -> None:
    """The password that all accounts have, as the servers of tests hash it (forked.py)."""
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute(
            "UPDATE people_user SET password = ? WHERE password LIKE 'pbkdf2_sha256$%'",
            (QuickHasher().encode(PASSWORD, "salt"),),
        )


def copy_demo(source: Path, target: Path) -> None:
    """The database and the scans beside it."""
    copy_database(source, target)
    (source.parent / "files").mkdir(exist_ok=True)
    shutil.copytree(source.parent / "files", target.parent / "files", dirs_exist_ok=True)


def _manage(database: Path, *command: str) -> None:
    made = subprocess.run(
        [sys.executable, "-m", "tests.quick_manage", *command],
        cwd=PROJECT, env=environment(database), capture_output=True, text=True, timeout=600,
    )  # fmt: skip
    assert made.returncode == 0, made.stdout + made.stderr


@pytest.fixture(scope="session")
def ready(demo_file: Path) -> Iterator[subprocess.Popen[str]]:
    """The process that makes servers."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.browser.forked"],
        cwd=PROJECT, env=environment(demo_file), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    yield process
    with process:  # waits, as long as it takes: it ends its servers first
        assert process.stdin
        process.stdin.close()


@contextmanager
def serving(demo_file: Path, folder: Path, ready: subprocess.Popen[str]) -> Iterator[Server]:
    """A server on a copy of the demo, ended at the end."""
    database, listens = folder / "served.sqlite3", folder / "port"
    copy_demo(demo_file, database)
    assert ready.stdin and ready.stdout
    asked = {"database": str(database), "log": str(folder / "server.log"), "listens": str(listens)}
    print(json.dumps(asked), file=ready.stdin, flush=True)
    process = int(ready.stdout.readline())
    try:
        yield Server(f"http://127.0.0.1:{_port(listens, process)}", database)
    finally:
        _end(process)


def _port(listens: Path, process: int) -> int:
    """The port that the server was given, once it listens."""
    for _ in range(6000):
        if listens.exists():
            return int(listens.read_text("utf-8"))
        assert _is_there(process), "the server ended"
        time.sleep(0.01)
    raise AssertionError("the server did not come up within a minute")


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def _end(process: int) -> None:
    if _is_there(process):
        os.kill(process, signal.SIGTERM)
    for _ in range(2000):
        if not _is_there(process):
            return
        time.sleep(0.01)
    raise AssertionError("the server did not end within twenty seconds")


@pytest.fixture(scope="session")
def reading_server(
    demo_file: Path, tmp_path_factory: pytest.TempPathFactory, ready: subprocess.Popen[str]
) -> Iterator[Server]:
    """A server for tests that change nothing."""
    with serving(demo_file, tmp_path_factory.mktemp("reading"), ready) as server:
        yield server


@pytest.fixture
def server(demo_file: Path, tmp_path: Path, ready: subprocess.Popen[str]) -> Iterator[Server]:
    """A server of the test's own."""
    with serving(demo_file, tmp_path, ready) as server:
        yield server


def sign_in(page: Page, address: str, role: str) -> None:
    """Sign in by the labels of the page."""
    page.goto(f"{address}/sign-in/")
    page.get_by_label("Name", exact=False).first.fill(ACCOUNT_OF_ROLE[role])
    page.get_by_label("Password", exact=False).first.fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in/" not in url)


Opened = Callable[..., Page]


@pytest.fixture
def opened(browser: Browser, server: Server) -> Iterator[Opened]:
    """Open a page of the test's own server, signed in as a role; ``script=False`` without JavaScript."""
    with opening(browser, server) as open_as:
        yield open_as


@contextmanager
def opening(browser: Browser, server: Server) -> Iterator[Opened]:
    """Pages of a server, closed at the end."""
    contexts: list[BrowserContext] = []

    def open_as(role: str, *, script: bool = True, size: ViewportSize = DESK) -> Page:
        context = browser.new_context(java_script_enabled=script, viewport=size, accept_downloads=True)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        sign_in(page, server.address, role)
        return page

    yield open_as
    for context in contexts:
        context.close()
