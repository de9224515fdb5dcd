"""The picture of a page, from what is kept or drawn now."""

from __future__ import annotations

import contextlib
import io
import logging
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from PIL import Image

from governance.scans.confined import ConfinedError, Limits, run
from governance.scans.drawing.kept import (
    keep_picture,
    note_problem,
    pages_folder,
    picture_path,
    problem_of,
    write_picture,
)
from governance.scans.drawing.sizes import THUMBNAIL
from governance.scans.models import Scan
from governance.scans.queries.store import content_on_disk

LIMITS: Final = Limits(memory_mb=2000, processor_seconds=20, clock_seconds=40, file_mb=100)
_TOGETHER: Final = 20
"""So many thumbnails are drawn by one process: to start it takes as long as to draw twenty."""

_pages_at_once = threading.BoundedSemaphore(2)
_thumbnails_at_once = threading.BoundedSemaphore(1)
"""Apart, so that who reads a page does not wait for the thumbnails of another file."""

_TURNS: Final = {
    90: Image.Transpose.ROTATE_270, 180: Image.Transpose.ROTATE_180, 270: Image.Transpose.ROTATE_90,
}  # fmt: skip
"""Degrees clockwise, and what Pillow calls them: it counts the other way."""

log = logging.getLogger(__name__)


def page_picture(scan: Scan, number: int, width: int, turn: int = 0) -> bytes | None:
    """The picture of a page as PNG; None if the page cannot be drawn.

    number: from 1 to the number of pages. width: one of ``sizes.WIDTHS``, of the page before it is turned.
    """
    path = picture_path(scan.sha256, number, width, turn)
    with contextlib.suppress(FileNotFoundError):
        return path.read_bytes()
    upright = picture_path(scan.sha256, number, width)
    if not upright.exists():
        draw(scan, _with_neighbours(scan, number) if width == THUMBNAIL else [number], width)
    if not upright.exists():
        return None
    if turn:
        write_picture(_turned(upright, turn), path)
    return path.read_bytes()


def draw_thumbnails(scan_pk: int) -> int:
    """Draw the thumbnails of a scan that are not there yet, for the background; how many there are then."""
    scan = Scan.objects.filter(pk=scan_pk).first()
    pages = range(1, (scan.page_count or 0) + 1) if scan else range(0)
    for start in range(0, len(pages), _TOGETHER):
        draw(scan, pages[start : start + _TOGETHER], THUMBNAIL)  # type: ignore[arg-type]
    return sum(picture_path(scan.sha256, page, THUMBNAIL).exists() for page in pages) if scan else 0


def draw(scan: Scan, pages: Sequence[int], width: int) -> None:
    """Draw pages that are not kept yet. What cannot be drawn is noted and stops nothing."""
    with _thumbnails_at_once if width == THUMBNAIL else _pages_at_once:
        missing = [
            page
            for page in pages
            if not picture_path(scan.sha256, page, width).exists() and not problem_of(scan.sha256, page)
        ]
        try:
            while missing:
                missing = _draw_some(scan, missing, width)
        except FileNotFoundError:  # not noted: it may be put back from a backup at any moment
            log.exception("the store has lost the content of scan %s", scan.pk)


def _draw_some(scan: Scan, pages: Sequence[int], width: int) -> list[int]:
    """Draw in one process; what is still to do if a page broke it off."""
    root = pages_folder()
    root.mkdir(mode=0o700, parents=True, exist_ok=True)
    # At an interrupt the thread and the end of the process clean up at once.
    with tempfile.TemporaryDirectory(dir=root, ignore_cleanup_errors=True) as folder:
        problems = _run(scan, pages, width, Path(folder))
        for made in Path(folder).glob("*.png"):
            keep_picture(made, picture_path(scan.sha256, int(made.stem), width))
    for page, problem in problems.items():
        log.warning("scan %s, page %s cannot be drawn: %s", scan.pk, page, problem)
        note_problem(scan.sha256, page, problem)
    return [page for page in pages if page not in problems and not picture_path(scan.sha256, page, width).exists()]


def _run(scan: Scan, pages: Sequence[int], width: int, folder: Path) -> dict[int, str]:
    """The pages that could not be drawn, and why.

    Raises:
        FileNotFoundError: the store has lost the content.
    """
    numbers = ",".join(map(str, pages))
    try:
        with content_on_disk(scan) as content:
            told = run(
                "governance.scans.drawing.child", [content, scan.media_type, str(width), numbers, folder],
                limits=LIMITS,
            )  # fmt: skip
    except ConfinedError as error:  # the page after the last that is done broke it off
        broken = next((page for page in pages if not (folder / f"{page}.png").exists()), pages[-1])
        return {broken: str(error)}
    drawn = {entry["page"]: entry["problem"] for entry in told}
    return {page: drawn.get(page, "not drawn") for page in pages if drawn.get(page, "not drawn")}


def _with_neighbours(scan: Scan, number: int) -> range:
    first = (number - 1) // _TOGETHER * _TOGETHER + 1
    return range(first, min(first + _TOGETHER, (scan.page_count or number) + 1))


def _turned(path: Path, turn: int) -> bytes:
    """Our own picture, turned clockwise."""
    out = io.BytesIO()
    with Image.open(path, formats=["PNG"]) as picture:
        picture.transpose(_TURNS[turn]).save(out, "PNG")
    return out.getvalue()
