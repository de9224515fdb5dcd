"""Word documents: which ZIP is one, and whether it opens to a size that can be. Runs in the child process."""

from __future__ import annotations

import zipfile
import zlib
from pathlib import Path

from governance.scans.checking.found import Found, Unfit
from governance.scans.checking.kinds import Kind

MOST_OPENED_BYTES = 400_000_000
MOST_TEXT_BYTES = 60_000_000
"""Of a part that is XML: it is read as a whole."""
MOST_PARTS = 5000
_CHUNK_BYTES = 1 << 20

_BODY = "word/document.xml"
_OTHERS = {"xl/workbook.xml": "xlsx", "ppt/presentation.xml": "pptx", "META-INF/MANIFEST.MF": "program", "mimetype": ""}


def look(path: Path) -> Found:
    """A sound document.

    Raises:
        Unfit: it is another ZIP, damaged, protected by a password, or opens to more than can be held.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            names = set(archive.namelist())
            if not {_BODY, "[Content_Types].xml"} <= names:
                raise Unfit("refused-kind", found=_other(archive, names))
            _refuse_too_large(archive)
            _read_all(archive)
            _refuse_bad_xml(archive)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError, RuntimeError) as error:
        raise Unfit("damaged", kind="zip") from error
    found = Found(Kind.DOCX)
    if any(name.endswith("vbaProject.bin") for name in names):
        found.has_scripts = True
        found.note("docx-macros")
    return found


def _other(archive: zipfile.ZipFile, names: set[str]) -> str:
    for name, word in _OTHERS.items():
        if name in names:
            return word or _by_mimetype(archive)
    return "zip"


def _by_mimetype(archive: zipfile.ZipFile) -> str:
    with archive.open("mimetype") as file:
        said = file.read(100)
    if b"opendocument" in said:
        return "opendocument"
    return "epub" if b"epub" in said else "zip"


def _refuse_too_large(archive: zipfile.ZipFile) -> None:
    """By what the list of parts says; what it is silent about shows when they are read."""
    parts = archive.infolist()
    opened = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or opened > MOST_OPENED_BYTES:
        raise Unfit("opens-too-large", opened_mb=opened // 1_000_000, most_mb=MOST_OPENED_BYTES // 1_000_000)
    if any(part.flag_bits & 1 for part in parts):
        raise Unfit("password", kind="docx")


def _read_all(archive: zipfile.ZipFile) -> None:
    """Read every part to its end, which also compares its checksum."""
    opened = 0
    for part in archive.infolist():
        with archive.open(part) as file:
            while chunk := file.read(_CHUNK_BYTES):
                opened += len(chunk)
                if opened > MOST_OPENED_BYTES:
                    raise Unfit(
                        "opens-too-large", opened_mb=opened // 1_000_000, most_mb=MOST_OPENED_BYTES // 1_000_000
                    )


def _refuse_bad_xml(archive: zipfile.ZipFile) -> None:
    """The body must be XML, and declare no entities: they can grow without end."""
    from xml.etree.ElementTree import ParseError

    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    if archive.getinfo(_BODY).file_size > MOST_TEXT_BYTES:
        size_mb = archive.getinfo(_BODY).file_size // 1_000_000
        raise Unfit("opens-too-large", opened_mb=size_mb, most_mb=MOST_TEXT_BYTES // 1_000_000)
    try:
        fromstring(archive.read(_BODY), forbid_dtd=True)
    except (ParseError, DefusedXmlException) as error:
        raise Unfit("damaged", kind="docx") from error
