"""Parts of files that are on their way: on the local disk, each under the token of its upload."""

from __future__ import annotations

import contextlib
import fcntl
import os
import time
from collections.abc import Collection, Iterator
from pathlib import Path

from django.conf import settings

ABANDONED_SECONDS = 24 * 60 * 60
"""So long after its last byte a part is kept."""

_ENDING = ".part"


def uploads_folder() -> Path:
    """Where files are while they come, readable for us alone."""
    folder = Path(settings.FIELDWRIT_FILES) / "uploads"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def part_of(token: str) -> Path:
    """The file that holds what came so far; it is there from the first byte on."""
    return uploads_folder() / f"{token}{_ENDING}"


def length_of(token: str) -> int:
    """Bytes that the disk holds."""
    try:
        return part_of(token).stat().st_size
    except FileNotFoundError:
        return 0


def write(token: str, offset: int, chunk: bytes) -> None:
    """Put a chunk at its place and end the part there: bytes behind it were never confirmed to anybody."""
    with _opened(token) as handle:
        rest, place = memoryview(chunk), offset
        while rest:
            written = os.pwrite(handle, rest, place)
            rest, place = rest[written:], place + written
        os.ftruncate(handle, place)


def write_down(token: str) -> None:
    """Have the system put the part on the disk, if there is one."""
    with contextlib.suppress(FileNotFoundError), _opened(token, os.O_RDWR) as handle:
        os.fsync(handle)


@contextlib.contextmanager
def _opened(token: str, flags: int = os.O_RDWR | os.O_CREAT) -> Iterator[int]:
    handle = os.open(part_of(token), flags | os.O_CLOEXEC, 0o600)
    try:
        yield handle
    finally:
        os.close(handle)


@contextlib.contextmanager
def claimed(token: str) -> Iterator[Path | None]:
    """The part for one process alone, or None while another has it. A process that dies gives it back."""
    with _opened(token) as handle:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield None
        else:
            yield part_of(token)


def remove(token: str) -> None:
    """Take the part away, if there is one."""
    part_of(token).unlink(missing_ok=True)


def is_abandoned(token: str, started_seconds: float) -> bool:
    """Whether nothing came for a day. started_seconds: when the upload began, in seconds since 1970."""
    try:
        last = part_of(token).stat().st_mtime
    except FileNotFoundError:
        last = started_seconds
    return last < time.time() - ABANDONED_SECONDS


def remove_strays(known: Collection[str]) -> None:
    """Take away old files of no known upload: what a crash left behind."""
    oldest = time.time() - ABANDONED_SECONDS
    for path in uploads_folder().iterdir():
        if path.is_file() and path.name.removesuffix(_ENDING) not in known and path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
