"""PDFs: whether they are whole, ask for a password, and what they carry that could run. Runs in the child process."""

from __future__ import annotations

import mmap
import re
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import IO, Any

from governance.scans.checking.found import Found, Unfit
from governance.scans.checking.kinds import Kind

MOST_PAGES = 5000
MOST_OBJECTS = 100_000
"""So many objects are looked at for scripts; what has more is remarked upon."""

_OBJECT = re.compile(rb"\d+\s+\d+\s+obj\b")
_LENGTH = re.compile(rb"/Linearized\b.{0,200}?/L\s+(\d+)", re.DOTALL)

_WITHOUT_SECURITY = 3
"""FPDF_REMOVE_SECURITY of the library: a copy without encryption, so that its objects can be looked at."""


def look(path: Path) -> Found:
    """A sound PDF.

    Raises:
        Unfit: it is cut off, damaged, or asks for a password.
    """
    _refuse_cut_off(path)
    found = Found(Kind.PDF)
    with path.open("rb") as content, tempfile.TemporaryFile() as copy:
        found.page_count, is_encrypted = _open(path, copy)
        if is_encrypted:
            found.note("pdf-forbids")
        _look_inside(copy if is_encrypted else content, found)
    return found


def _refuse_cut_off(path: Path) -> None:
    """The end mark must be there, and no object behind the last of them; a file laid out for the web says its length
    (ISO 32000-1, 7.5.5 and annex F.3.2)."""
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as content:
        end = content.rfind(b"%%EOF")
        if end < 0 or _OBJECT.search(content, end):
            raise Unfit("cut-off", kind="pdf")
        said = _LENGTH.search(content, 0, 2048)
        if said and int(said[1]) > len(content):
            raise Unfit("cut-off", kind="pdf")


def _open(path: Path, copy: IO[bytes]) -> tuple[int, bool]:
    """The number of pages, all of which open, and whether the file is encrypted; then ``copy`` is the same without."""
    import pypdfium2
    import pypdfium2.raw as raw

    try:
        document = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as error:
        raise Unfit("password" if "password" in str(error).lower() else "damaged", kind="pdf") from error
    with closing(document):
        pages = _count_pages(document)
        is_encrypted = raw.FPDF_GetSecurityHandlerRevision(document) != -1
        if is_encrypted:
            document.save(copy, flags=_WITHOUT_SECURITY)
    return pages, is_encrypted


def _count_pages(document: Any) -> int:
    from pypdfium2 import PdfiumError

    pages = len(document)
    if pages < 1:
        raise Unfit("no-pages", kind="pdf")
    if pages > MOST_PAGES:
        raise Unfit("too-many-pages", pages=pages, most=MOST_PAGES)
    for number in range(pages):
        try:
            document[number].close()
        except PdfiumError as error:
            raise Unfit("damaged-page", page=number + 1) from error
    return pages


def _look_inside(content: IO[bytes], found: Found) -> None:
    """What pages stand on, and what the file carries. A file that another library cannot follow is not refused for
    that, since its pages opened; it is kept as one that may carry something."""
    from pypdf import PdfReader

    try:
        reader = PdfReader(content)
        _refuse_missing_content(reader)
        carried = _what_it_carries(reader, found)
    except (Unfit, MemoryError):
        raise
    except Exception:  # the library meets hostile structures in many ways
        found.has_scripts = True
        found.note("pdf-not-looked-at")
        return
    if carried:
        found.has_scripts = True
        found.note("pdf-carries", what=sorted(carried))


def _refuse_missing_content(reader: Any) -> None:
    """A page that names what stands on it must have it; else it would open empty."""
    from pypdf.generic import IndirectObject, NullObject

    for number, page in enumerate(reader.pages, 1):
        named = page.raw_get("/Contents") if "/Contents" in page else []
        for one in named if isinstance(named, list) else [named]:
            if isinstance(one, IndirectObject) and isinstance(one.get_object(), NullObject | None):
                raise Unfit("damaged-page", page=number)


def _what_it_carries(reader: Any, found: Found) -> set[str]:
    """Kinds of what could run or hide: scripts, attached files, programs to start, forms that send, media."""
    carried: set[str] = set()
    for count, dictionary in enumerate(_dictionaries(reader)):
        if count > MOST_OBJECTS:
            found.has_scripts = True
            found.note("pdf-not-all-looked-at", most=MOST_OBJECTS)
            break
        carried |= _kinds_in(dictionary)
    return carried


_KEYS = {
    "/JS": "scripts",
    "/JavaScript": "scripts",
    "/XFA": "scripts",
    "/EmbeddedFiles": "files",
    "/EF": "files",
    "/RichMedia": "media",
    "/RichMediaContent": "media",
}
_ACTIONS = {
    "/JavaScript": "scripts",
    "/Rendition": "media",
    "/Launch": "programs",
    "/SubmitForm": "sending",
    "/ImportData": "sending",
    "/GoToE": "files",
    "/GoToR": "other-files",
    "/Movie": "media",
    "/Sound": "media",
    "/RichMediaExecute": "media",
}
"""Kinds of actions (ISO 32000-1, 12.6.4) that are remarked upon; a link within the file or to an address is none."""


def _kinds_in(dictionary: Any) -> set[str]:
    kinds = {kind for key, kind in _KEYS.items() if key in dictionary}
    action = dictionary.raw_get("/S") if "/S" in dictionary else None
    if isinstance(action, str) and action in _ACTIONS:
        kinds.add(_ACTIONS[action])
    return kinds


def _dictionaries(reader: Any) -> Iterator[Any]:
    """Every dictionary that can be reached from the end of the file, each once."""
    from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

    seen: set[tuple[int, int]] = set()
    waiting: list[Any] = [reader.trailer]
    while waiting:
        one = waiting.pop()
        if isinstance(one, IndirectObject):
            key = (one.idnum, one.generation)
            if key in seen:
                continue
            seen.add(key)
            one = one.get_object()
        if isinstance(one, DictionaryObject):
            yield one
            waiting.extend(one.raw_get(name) for name in one)
        elif isinstance(one, ArrayObject):
            waiting.extend(list.__iter__(one))
