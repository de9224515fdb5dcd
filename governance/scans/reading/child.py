"""Reads pages of a file that strangers made. Runs confined: ``governance.scans.confined.run`` calls ``main``."""

from __future__ import annotations

import json
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from governance.scans.reading.placed import text_and_words

FILE, RECOGNISED, NOT_READ = "file", "recognised", ""
"""Where the words of a page are from, as ``ScanPage.Source`` writes it."""

PDF: Final = "application/pdf"
_DOTS_AN_INCH: Final = 300
_POINTS_AN_INCH: Final = 72
_MOST_PIXELS: Final = 5000
"""Of the longer side of a page that is recognised: A4 has 3508, a map A2 is read less sharply."""


@dataclass(frozen=True)
class PageWords:
    """What was read on a page. problem: why not, for the log and the note."""

    number: int
    text: str = ""
    words: tuple[Any, ...] = ()
    source: str = NOT_READ
    problem: str = ""


Reader = Callable[[Path, Sequence[int], Sequence[str]], Iterator[PageWords]]


def main(arguments: Sequence[str]) -> int:
    """Read pages until the time is over, at least one; how many were read. Each is kept in the folder as soon as it is
    read, so that a page that breaks the process off takes no other with it.

    arguments: one JSON object with path, media_type, numbers (of pages, from 1; empty: all), languages (empty: pictures
    are not read), seconds, and folder.
    """
    job = json.loads(arguments[0])
    ends_at = time.monotonic() + job["seconds"]
    count = 0
    for page in _reader(job["media_type"])(Path(job["path"]), job["numbers"], job["languages"]):
        _keep(page, Path(job["folder"]))
        count += 1
        if job["numbers"] and time.monotonic() > ends_at:
            break
    return count


def _keep(page: PageWords, folder: Path) -> None:
    part = folder / "part"
    part.write_text(json.dumps(asdict(page)), "utf-8")
    part.rename(folder / f"{page.number}.json")


def _reader(media_type: str) -> Reader:
    if media_type == PDF:
        return _pdf
    if media_type.startswith("image/"):
        return lambda path, numbers, languages: _images(path, media_type, numbers, languages)
    from governance.scans.reading.written import written_pages

    return lambda path, numbers, languages: written_pages(path, media_type)


def _pdf(path: Path, numbers: Sequence[int], languages: Sequence[str]) -> Iterator[PageWords]:
    import pypdfium2

    with closing(pypdfium2.PdfDocument(path)) as document:
        for number in numbers:
            try:
                yield _pdf_page(document, number, languages)
            except (pypdfium2.PdfiumError, ValueError, IndexError, OSError) as error:
                yield PageWords(number, problem=f"{type(error).__name__}: {error}")


def _pdf_page(document: Any, number: int, languages: Sequence[str]) -> PageWords:
    import pypdfium2.raw as pdfium

    from governance.scans.reading.digital import lines_of_page, speaks_for_itself

    with closing(document[number - 1]) as page:
        pdfium.FPDFPage_Flatten(page, pdfium.FLAT_NORMALDISPLAY)  # what is filled into fields becomes part of the page
    with closing(document[number - 1]) as page:
        lines = lines_of_page(page)
        if speaks_for_itself(page, lines):
            return PageWords(number, *_as_kept([lines]), source=FILE)
        if not languages:  # the few words beside the picture are better than none
            return PageWords(number, *_as_kept([lines]), source=NOT_READ)
        scale = min(_DOTS_AN_INCH / _POINTS_AN_INCH, _MOST_PIXELS / max(page.get_size()))
        return _of_picture(number, page.render(scale=scale, grayscale=True, may_draw_forms=False).to_pil(), languages)


def _images(path: Path, media_type: str, numbers: Sequence[int], languages: Sequence[str]) -> Iterator[PageWords]:
    import io

    from PIL import Image

    from governance.scans.drawing.rendering import drawn_pages

    if not languages:
        yield from (PageWords(number) for number in numbers)
        return
    with path.open("rb") as file:
        for number, drawn in drawn_pages(file, media_type, numbers, _MOST_PIXELS):
            if isinstance(drawn, str):
                yield PageWords(number, problem=drawn)
            else:
                yield _of_picture(number, Image.open(io.BytesIO(drawn), formats=["PNG"]), languages)


def _of_picture(number: int, picture: Any, languages: Sequence[str]) -> PageWords:
    from governance.scans.reading.recognising import recognised

    try:
        return PageWords(number, *_as_kept(recognised(picture, languages)), source=RECOGNISED)
    except subprocess.TimeoutExpired:
        return PageWords(number, problem="the recognition took too long")
    except subprocess.CalledProcessError as error:
        return PageWords(number, problem=f"the recognition failed: {error.stderr[-200:]!r}")


def _as_kept(blocks: Any) -> tuple[str, tuple[Any, ...]]:
    text, words = text_and_words(blocks)
    return text, tuple(words)
