"""Pictures of pages on the local disk. They can all be thrown away: each is made anew when it is asked for.

A picture is known by the hash of the content, the page and the width, so it never goes stale. It comes into being by
being renamed, whole. Beside a page that cannot be drawn stands why; after an hour it is tried again.
"""

from __future__ import annotations

import os
import tempfile
import time
from pathlib import Path

from django.conf import settings

TRY_AGAIN_AFTER_S = 3600
TRY_AGAIN_AFTER_TIMEOUT_S = 300
"""Of a page that took too long: the machine may have been busy."""


def pages_folder() -> Path:
    """The folder of all pictures."""
    return Path(settings.FIELDWRIT_FILES) / "pages"


def picture_path(sha256: str, number: int, width: int, turn: int = 0) -> Path:
    """Where the picture of a page is, or would be."""
    turned = f"-{turn}" if turn else ""
    return pages_folder() / sha256[:2] / sha256 / f"{number}-{width}{turned}.png"


def _problem_path(sha256: str, number: int) -> Path:
    return pages_folder() / sha256[:2] / sha256 / f"{number}.problem"


def keep_picture(made: Path, to: Path) -> None:
    """Take over a picture that was made on the same disk."""
    to.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    made.replace(to)


def write_picture(data: bytes, to: Path) -> None:
    """Write a picture so that nobody ever reads half of it."""
    to.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=to.parent, suffix=".part")
    with os.fdopen(handle, "wb") as file:
        file.write(data)
    Path(name).replace(to)


def note_problem(sha256: str, number: int, problem: str) -> None:
    """Note why a page cannot be drawn."""
    write_picture(problem.encode(), _problem_path(sha256, number))


def problem_of(sha256: str, number: int) -> str:
    """Why a page could not be drawn a short while ago; "" if it was not tried or is to be tried again."""
    path = _problem_path(sha256, number)
    try:
        problem, age_s = path.read_text("utf-8", "replace"), time.time() - path.stat().st_mtime
    except FileNotFoundError:
        return ""
    waits_s = TRY_AGAIN_AFTER_TIMEOUT_S if problem.startswith("time") else TRY_AGAIN_AFTER_S
    return problem if age_s <= waits_s else ""
