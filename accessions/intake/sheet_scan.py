"""A first look into the XML of a spreadsheet, in pieces: what reading its cells alone would not show.

Reading cells lays a sheet out as a full rectangle and gives formulas by their last stored value. So, before that, the
raw XML is searched for document types, for cells in far corners, for formulas and for cells that hold an error.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final

from accessions.intake import limits
from accessions.intake.archives import Archive
from accessions.intake.grid import place_words
from accessions.intake.markup import DOCUMENT_TYPE_EXPECTED, DOCUMENT_TYPE_FOUND
from accessions.intake.problems import FileProblems, refusal, shown

NAMED_CELLS: Final = 20
"""Addresses kept of each kind; the rest is counted."""

# No pattern crosses a "<": each looks at one tag, so a text without ">" costs no more than its length.
_COLUMN: Final = re.compile(rb' r="([A-Z]{1,3})\d')
_DEEP_ROW: Final = re.compile(rb' r="[A-Z]{1,3}(\d{6,9})"')
_ODD_COLUMN: Final = re.compile(rb"\sr\s*=\s*[\"']([A-Z]{1,3})\d")
_ODD_DEEP_ROW: Final = re.compile(rb"\sr\s*=\s*[\"'][A-Z]{1,3}(\d{6,9})[\"']")
_ODD_WRITING: Final = (b"\t", b"\n", b"\r", b"'", b" =", b"= ")
"""Without any of these an attribute can only be written as the quick patterns expect it."""
_FORMULA: Final = re.compile(rb"<(?:[\w.-]+:)?c\b([^<>]*)>\s*<(?:[\w.-]+:)?f[\s/>]")
_ERROR_CELL: Final = re.compile(rb"<(?:[\w.-]+:)?c\b([^<>]*\st=[\"']e[\"'][^<>]*)>")
_ADDRESS: Final = re.compile(rb'(?:^|\s)r=["\']([A-Z]{1,3}\d{1,9})["\']')
_SHALLOW_ROWS: Final = 99_999

_ODS_FILLED_REPEAT: Final = re.compile(
    rb'<table:table-cell\b(?=[^<>]*office:value-type)[^<>]*number-columns-repeated="(\d{1,9})"'
)
_ODS_ROW_REPEAT: Final = re.compile(rb'<table:table-row\b[^<>]*number-rows-repeated="(\d{1,9})"[^<>]*>')
_ODS_MAX_REPEATED_ROWS: Final = limits.MAX_SHEET_CELLS // limits.MAX_COLUMNS


@dataclass
class Cells:
    """Addresses of cells of one kind: the first ``NAMED_CELLS``, and how many there are."""

    named: list[str] = field(default_factory=list)
    count: int = 0

    def add(self, address: str) -> None:
        self.count += 1
        if len(self.named) < NAMED_CELLS:
            self.named.append(address)

    def __str__(self) -> str:
        first = ", ".join(self.named)
        return first if self.count <= len(self.named) else f"{first} and {self.count - len(self.named):,} more"


@dataclass
class SheetScan:
    """What was seen of one sheet."""

    formulas: Cells = field(default_factory=Cells)
    errors: Cells = field(default_factory=Cells)
    columns: set[bytes] = field(default_factory=set)
    deepest_row: int = 0


def scan_markup(archive: Archive) -> dict[str, SheetScan]:
    """Look through every XML member; the scans of the worksheets of an XLSX file, by member name.

    Raises:
        FileProblems: a document type or entity declaration, or a sheet whose cells lie too far apart.
    """
    scans: dict[str, SheetScan] = {}
    for name in archive.names:
        if not name.lower().endswith((".xml", ".rels", ".vml")):
            for _ in archive.chunks(name):
                pass  # only to learn that it is as long as it says
            continue
        pieces = _without_document_type(archive, name)
        if name.lower().startswith("xl/worksheets/"):
            scans[name] = _scan_sheet(pieces, archive.file, name)
        else:
            for _ in pieces:
                pass
    return scans


def _without_document_type(archive: Archive, name: str) -> Iterator[bytes]:
    """The pieces of a member, refused if one declares a document type; in UTF-16 nothing could be searched."""
    tail = b""
    first = True
    for chunk in archive.chunks(name):
        if first and (chunk[:2] in (b"\xff\xfe", b"\xfe\xff") or b"\0" in chunk[:64]):
            raise refusal(archive.file, f"member {shown(name)}", "its XML is not UTF-8", "Save the file anew.")
        first = False
        seam = tail + chunk[:16]
        if any(word in chunk or word in seam for word in (b"<!DOCTYPE", b"<!ENTITY")):
            raise refusal(archive.file, f"member {shown(name)}", DOCUMENT_TYPE_FOUND, DOCUMENT_TYPE_EXPECTED)
        tail = chunk[-16:]
        yield chunk


def _whole_cells(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """The same bytes, cut before the start of a cell, so that no cell lies across two pieces."""
    held = b""
    for piece in pieces:
        held += piece
        cut = max(held.rfind(b"<c "), held.rfind(b":c "))
        cut = held.rfind(b"<", 0, cut + 1) if cut > 0 else -1
        if cut > 0 or len(held) > 4 * limits.CHUNK_BYTES:
            cut = cut if cut > 0 else len(held)
            yield held[:cut]
            held = held[cut:]
    yield held


def _scan_sheet(pieces: Iterator[bytes], file: str, member: str) -> SheetScan:
    scan = SheetScan()
    for piece in _whole_cells(pieces):
        odd = any(word in piece for word in _ODD_WRITING)
        scan.columns.update((_ODD_COLUMN if odd else _COLUMN).findall(piece))
        deep = (_ODD_DEEP_ROW if odd else _DEEP_ROW).findall(piece)
        scan.deepest_row = max(scan.deepest_row, max(map(int, deep), default=0))
        if b"<f" in piece or b":f" in piece:
            _add_cells(scan.formulas, _FORMULA, piece)
        if b't="e"' in piece or b"t='e'" in piece:
            _add_cells(scan.errors, _ERROR_CELL, piece)
    width = max(map(_column_number, scan.columns), default=0)
    rows = scan.deepest_row or _SHALLOW_ROWS
    if width > limits.MAX_COLUMNS or width * rows > limits.MAX_SHEET_CELLS:
        raise _too_large(file, member, width, rows)
    return scan


def _add_cells(cells: Cells, pattern: re.Pattern[bytes], piece: bytes) -> None:
    for match in pattern.finditer(piece):
        address = _ADDRESS.search(match[1])
        cells.add(address[1].decode() if address else "?")


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def column_letters(index: int) -> str:
    """``A`` for 0, ``AA`` for 26."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _too_large(file: str, member: str, width: int, rows: int) -> FileProblems:
    return refusal(
        file,
        f"member {shown(member)}",
        f"its cells reach over {width:,} columns and up to {rows:,} rows",
        f"At most {limits.MAX_COLUMNS} columns and {limits.MAX_SHEET_CELLS:,} cells are read; "
        "delete what stands far from the table, or save it as CSV.",
    )


def scan_open_document(archive: Archive) -> bool:
    """Look through ``content.xml`` of an ODS file before its cells are read; True if it has formulas.

    Raises:
        FileProblems: filled cells or rows are repeated so often that the sheet would not fit.
    """
    has_formulas = False
    repeated_cells = repeated_rows = 0
    held = b""
    for piece in archive.chunks("content.xml"):
        held += piece
        cut = held.rfind(b"<table:table-row")
        cut = cut if cut > 0 else 0 if len(held) < 4 * limits.CHUNK_BYTES else len(held)
        part, held = held[:cut], held[cut:]
        has_formulas = has_formulas or b"table:formula=" in part or b"table:formula=" in held
        repeated_cells += _filled_repeats(part)
        repeated_rows += _filled_row_repeats(part)
    repeated_cells += _filled_repeats(held)
    repeated_rows += _filled_row_repeats(held)
    if repeated_cells > limits.MAX_SHEET_CELLS or repeated_rows > _ODS_MAX_REPEATED_ROWS:
        raise refusal(
            archive.file,
            'member "content.xml"',
            f"filled cells are repeated {repeated_cells:,} times and filled rows {repeated_rows:,} times",
            f"At most {limits.MAX_SHEET_CELLS:,} cells are read; delete the copies, or save the table as CSV.",
        )
    return has_formulas


def _filled_repeats(part: bytes) -> int:
    counts = [int(count) for count in _ODS_FILLED_REPEAT.findall(part)]
    too_wide = any(count > limits.MAX_COLUMNS for count in counts)
    return limits.MAX_SHEET_CELLS + 1 if too_wide else sum(counts)


def _filled_row_repeats(part: bytes) -> int:
    total = 0
    for match in _ODS_ROW_REPEAT.finditer(part):
        end = part.find(b"</table:table-row>", match.end())
        row = part[match.end() : end if end >= 0 else len(part)]
        total += int(match[1]) if b"office:value-type" in row else 0
    return total


class _OpenDocumentFormulas:
    """Parser target that walks an ODS sheet and notes the addresses of formula cells; keeps no tree."""

    def __init__(self, sheet: str) -> None:
        self._sheet = sheet
        self._inside = False
        self._row = self._column = 0
        self._row_step = 1
        self.cells = Cells()

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rsplit("}", 1)[-1]
        plain = {key.rsplit("}", 1)[-1]: value for key, value in attributes.items()}
        if name == "table":
            self._inside = plain.get("name") == self._sheet
            self._row = 0
        elif self._inside and name == "table-row":
            self._column, self._row_step = 0, _repeat(plain.get("number-rows-repeated"))
        elif self._inside and name in ("table-cell", "covered-table-cell"):
            if "formula" in plain:
                self.cells.add(f"{column_letters(self._column)}{self._row + 1}")
            self._column += _repeat(plain.get("number-columns-repeated"))

    def end(self, tag: str) -> None:
        if self._inside and tag.endswith("}table-row"):
            self._row += self._row_step

    def data(self, _text: str) -> None:
        """Text of cells is of no interest here."""

    def close(self) -> None:
        """Nothing is left to do."""


def _repeat(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 10 else 1


def open_document_formulas(archive: Archive, sheet: str) -> Cells:
    """Addresses of the formula cells of one sheet of an ODS file."""
    from xml.etree.ElementTree import ParseError

    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import DefusedXMLParser

    target: Any = _OpenDocumentFormulas(sheet)
    parser = DefusedXMLParser(target=target, forbid_dtd=True)
    try:
        for chunk in archive.chunks("content.xml"):
            parser.feed(chunk)
    except DefusedXmlException as error:
        raise refusal(archive.file, 'member "content.xml"', DOCUMENT_TYPE_FOUND, DOCUMENT_TYPE_EXPECTED) from error
    except ParseError as error:
        raise refusal(archive.file, place_words(sheet), "the sheet cannot be read", "Save the file anew.") from error
    cells: Cells = target.cells
    return cells
