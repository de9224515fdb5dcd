"""One assessment at a time: a lock that goes with its process, so that a killed run blocks nobody."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.db import connection

_KEY = 7_215_943_011
"""Number of the advisory lock in PostgreSQL; any, but always the same."""

_STEP_S = 0.05
_in_process = threading.Lock()


class RunGoesOnError(RuntimeError):
    """Another assessment goes on, and the caller would not wait for it any longer."""


@contextmanager
def one_run(wait_s: float | None = None) -> Iterator[None]:
    """Hold the right to run an assessment.

    Args:
        wait_s: how long to wait for one that goes on; None for as long as it takes.

    Raises:
        RunGoesOnError: it still goes on.
    """
    until = None if wait_s is None else time.monotonic() + wait_s
    if not _in_process.acquire(timeout=-1 if wait_s is None else max(wait_s, 0)):
        raise RunGoesOnError
    try:
        with _advisory(until) if connection.vendor == "postgresql" else _file(until):
            yield
    finally:
        _in_process.release()


def no_run_until_commit() -> None:
    """No assessment begins before this transaction ends. On SQLite whoever writes is alone anyway, and a run sees what
    is there when it ends.

    Raises:
        RunGoesOnError: one goes on.
    """
    if connection.vendor != "postgresql":
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [_KEY])
        if not cursor.fetchone()[0]:
            raise RunGoesOnError


@contextmanager
def _advisory(until: float | None) -> Iterator[None]:
    """PostgreSQL: held by the connection, so it ends with it."""

    def ask(function: str) -> bool:
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {function}(%s)", [_KEY])
            return bool(cursor.fetchone()[0])

    _wait(lambda: ask("pg_try_advisory_lock"), until)
    try:
        yield
    finally:
        ask("pg_advisory_unlock")


@contextmanager
def _file(until: float | None) -> Iterator[None]:
    """SQLite: a lock on a file beside the database; the system drops it with the process."""
    name = str(connection.settings_dict["NAME"])
    if name == ":memory:" or name.startswith("file:"):
        yield  # a database in memory belongs to one process
        return
    with Path(f"{name}.assessing").open("w") as file:
        _wait(lambda: _locked(file), until)
        yield


def _locked(file: IO[str]) -> bool:
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _wait(attempt: object, until: float | None) -> None:
    while not attempt():  # type: ignore[operator]
        if until is not None and time.monotonic() >= until:
            raise RunGoesOnError
        time.sleep(_STEP_S)
