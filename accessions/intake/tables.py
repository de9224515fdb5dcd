"""Any file of specimens as a table of text; what a file is, is told by its content."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from accessions.intake import limits
from accessions.intake.grid import Progress, TextTable
from accessions.intake.problems import FileProblems, refusal

__all__ = ["Progress", "TextTable", "read_table"]

_ZIP: Final = (b"PK\x03\x04", b"PK\x05\x06")
_OPEN_DOCUMENT: Final = b"application/vnd.oasis.opendocument.spreadsheet"
_EXPECTED: Final = "Give a CSV, TSV, XLSX or ODS file or a Darwin Core archive."
_REFUSED: Final = {
    b"\xd0\xcf\x11\xe0": (
        "an old Excel file (.xls) or one locked with a password",
        "Save it as .xlsx without a password.",
    ),
    b"%PDF": ("a PDF file", _EXPECTED),
    b"\x1f\x8b": ("a gzip file", "Unpack it first."),
    b"\x89PNG": ("a picture", _EXPECTED),
    b"\xff\xd8\xff": ("a picture", _EXPECTED),
    b"{": ("a JSON file", _EXPECTED),
    b"<": ("an XML or HTML file", _EXPECTED),
}


def read_table(path: str | Path, *, progress: Progress | None = None) -> TextTable:
    """Read a table, every cell as the text that is written there.

    Args:
        path: CSV, TSV, TXT, XLSX, ODS or a Darwin Core archive; its extension does not matter.
        progress: called now and then with the number of rows read.

    Raises:
        FileProblems: the file cannot be read as a table; carries every problem found.
    """
    path = Path(path)
    head = _head(path)
    if head.startswith(_ZIP):
        return _read_zip(path, progress)
    start = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    for magic, (found, expected) in _REFUSED.items():
        if start.startswith(magic):
            raise refusal(path.name, "", f"this is {found}", expected)
    from accessions.intake.delimited import read_delimited

    with path.open("rb") as stream:
        return read_delimited(stream, path.name, progress)


def _head(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > limits.MAX_FILE_BYTES:
            raise refusal(
                path.name,
                "",
                f"the file is {size:,} bytes long",
                f"At most {limits.MAX_FILE_BYTES:,} are read; split it.",
            )
        with path.open("rb") as stream:
            head = stream.read(512)
    except OSError as error:
        raise _unreadable(path, error) from error
    if not head.strip():
        raise refusal(path.name, "", "the file is empty", "A table has a row of headers and rows below it.")
    return head


def _unreadable(path: Path, error: OSError) -> FileProblems:
    reason = (
        "there is no such file" if isinstance(error, FileNotFoundError) else f"it cannot be opened ({error.strerror})"
    )
    return refusal(path.name, "", reason, "Check the name, and that you may read it.")


def _read_zip(path: Path, progress: Progress | None) -> TextTable:
    from accessions.intake.archives import Archive
    from accessions.intake.darwin_core_archive import meta_member, read_archive
    from accessions.intake.spreadsheets import read_spreadsheet

    with Archive(path) as archive:
        names = archive.names
        kind = archive.read("mimetype", 200) if "mimetype" in names else b""
    if "xl/workbook.xml" in names:
        return read_spreadsheet(path, progress, open_document=False)
    if kind.strip() == _OPEN_DOCUMENT and "content.xml" in names:
        return read_spreadsheet(path, progress, open_document=True)
    if meta_member(names):
        return read_archive(path, progress)
    raise refusal(
        path.name,
        "",
        "the archive is no XLSX or ODS file and has no meta.xml, so it is no Darwin Core archive",
        _EXPECTED,
    )
