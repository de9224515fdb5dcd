"""Some pages of a content, read in a process of its own."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from governance.scans.confined import ConfinedError, Limits, run
from governance.scans.reading.child import PageWords
from governance.scans.reading.recognising import SECONDS_A_PAGE

_CHILD: Final = "governance.scans.reading.child"

_LARGEST_TEXT_PAGE: Final = 60_000_000
"""Bytes of what one page may give; its words with their places take some 60 bytes each."""


def read_pages(
    path: Path, media_type: str, numbers: Sequence[int], languages: Sequence[str], *, seconds: int
) -> list[PageWords]:
    """The first of these pages, as many as can be read in about so many seconds; at least one.

    A page that takes too long or breaks the process is among them, with its problem and no words.

    Args:
        numbers: from 1; empty for a content without pages, which is then read as a whole.
        languages: as tesseract names them; empty: pictures are not read.
    """
    # At an interrupt the thread and the end of the process clean up at once.
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        job = {
            "path": str(path), "media_type": str(media_type), "numbers": list(numbers),
            "languages": list(languages), "seconds": seconds, "folder": folder,
        }  # fmt: skip
        problem = _run(job, seconds + (3 * SECONDS_A_PAGE if numbers else 0) + 20)  # no pages: nothing to recognise
        pages = _read(Path(folder))
    if problem:
        pages.append(PageWords(_after(pages, numbers), problem=problem))
    return pages


def _run(job: dict[str, object], seconds: int) -> str:
    """What went wrong: "time", "memory", "crash", or "" if nothing did."""
    limits = Limits(memory_mb=2000, processor_seconds=seconds, clock_seconds=seconds)
    try:
        run(_CHILD, [json.dumps(job)], limits=limits)
    except ConfinedError as error:
        return f"{error}"
    return ""


def _read(folder: Path) -> list[PageWords]:
    found = [path for path in folder.glob("*.json") if path.stat().st_size <= _LARGEST_TEXT_PAGE]
    pages = [PageWords(**json.loads(path.read_text("utf-8"))) for path in found]
    return sorted(pages, key=lambda page: page.number)


def _after(pages: Sequence[PageWords], numbers: Sequence[int]) -> int:
    """The page that was being read when it broke off."""
    done = {page.number for page in pages}
    if not numbers:
        return max(done, default=0) + 1
    return next((number for number in numbers if number not in done), numbers[-1])
