"""A process that has imported the register once, and forks a server of it for whoever asks.

Starting Python with all that the register needs takes longer than most tests in a browser, and so does reading its
templates and the coasts of the world for the first page. Asked by a line of JSON on standard input, answers with the
number of the new process; ends with its input, and all its servers with it.

Passwords are hashed in a way that takes no time: ``demo_file`` in conftest.py does the same.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import django
from django.contrib.auth.hashers import PBKDF2PasswordHasher

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")

SECONDS_BETWEEN_LOOKS = 0.25
"""How often a server looks for work for the background; houses wait longer, but tests wait for each."""


class QuickHasher(PBKDF2PasswordHasher):
    """Every test signs in, and what the register does for that is slow on purpose."""

    iterations = 1


def main() -> None:
    django.setup()
    from django.db import connection
    from django.urls import get_resolver

    assert get_resolver().url_patterns  # imports the views of all rooms
    _read_what_is_kept()
    assert threading.active_count() == 1 and connection.connection is None, "neither may be shared with what is forked"
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for the servers
    running: list[int] = []
    for line in sys.stdin:
        pid = os.fork()
        if pid == 0:
            _serve(**json.loads(line))
        running.append(pid)
        print(pid, flush=True)
    for pid in running:
        _end(pid)


def _read_what_is_kept() -> None:
    """What a server reads once and keeps: all templates, and the outlines of countries, coarse and fine."""
    from django.conf import settings
    from django.template.loader import get_template

    from governance.papers.drawing.coast import countries_in
    from governance.papers.drawing.view import View
    from governance.papers.drawing.world import draw_world

    folder = Path(settings.BASE_DIR) / "templates"
    for path in folder.rglob("*.html"):
        get_template(str(path.relative_to(folder)))
    assert draw_world([]).land
    assert countries_in(View(15, 61, 16, 62, 300, 300))


def _serve(database: str, log: str, listens: str) -> None:
    """Serve a database with the files beside it, as ``runserver`` does, until ended.

    The system gives a port, and the file ``listens`` tells it: a port that was found free before may be taken by now.
    """
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    written = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    for stream in (1, 2):
        os.dup2(written, stream)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    try:
        _use(Path(database))
        from django.core.servers.basehttp import WSGIServer, get_internal_wsgi_application, run

        run("127.0.0.1", 0, get_internal_wsgi_application(), threading=True, on_bind=partial(_tell, Path(listens)),
            server_cls=WSGIServer)  # fmt: skip
    finally:
        os._exit(1)


def _tell(listens: Path, port: int) -> None:
    """Whole or not at all: somebody waits for the file."""
    new = listens.with_suffix(".new")
    new.write_text(str(port), "utf-8")
    new.rename(listens)


def _use(database: Path) -> None:
    """The settings that the environment would have given to a process of its own; no connection is open yet."""
    from django.conf import settings
    from django.db import connections
    from django.test.utils import override_settings

    from governance.config.store import scan_store
    from governance.verdicts import worker
    from tests.clock import hold

    connections.settings["default"]["NAME"] = database
    files = database.parent / "files"
    storages: dict[str, Any] = settings.STORAGES | {"scans": scan_store("", files / "store")}
    hashers = [f"{__name__}.{QuickHasher.__name__}"]
    override_settings(FIELDWRIT_FILES=files, STORAGES=storages, PASSWORD_HASHERS=hashers).enable()
    setattr(worker, "_INTERVAL_S", SECONDS_BETWEEN_LOOKS)  # noqa: B010  # final, but for this
    if (told := database.parent / "clock").exists():
        _move_clock(told)
    else:
        hold()


def _move_clock(told: Path) -> None:
    """A story goes through a year: its day stands in a file, and the register takes its time from there, as the demo
    does (governance/config/demo/story.py). Nine o'clock is when the file was written."""
    from django.utils import timezone

    real = timezone.now

    def now() -> datetime:
        begun = timezone.make_aware(datetime.fromisoformat(f"{told.read_text('utf-8')}T09:00:00"))
        return (begun + (real() - datetime.fromtimestamp(told.stat().st_mtime, UTC))).astimezone(UTC)

    timezone.now = now


def _end(pid: int) -> None:
    try:
        os.kill(pid, signal.SIGTERM)
    except ProcessLookupError:
        return


if __name__ == "__main__":
    main()
