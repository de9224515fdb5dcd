"""Darwin Core archives: a zip with ``meta.xml`` that says how the core file is written.

Source: Darwin Core text guide (TDWG), sections on ``core``, ``files`` and ``field``; the defaults are from memory.
"""

from __future__ import annotations

import codecs
import io
import posixpath
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Final
from xml.etree.ElementTree import Element

from accessions.intake import limits
from accessions.intake.archives import Archive
from accessions.intake.delimited import Dialect, Records
from accessions.intake.encodings import detect_encoding
from accessions.intake.grid import Grid, Progress, TextTable
from accessions.intake.markup import children, parse_markup
from accessions.intake.problems import FileProblems, refusal, shown

META: Final = "meta.xml"
_ESCAPES: Final = {"\\t": "\t", "\\n": "\n", "\\r": "\r", "\\r\\n": "\r\n", "\\n\\r": "\n\r"}
_LINE_ENDS: Final = ("\n", "\r", "\r\n")
_MAX_META_BYTES: Final = 1024**2
_SPECIMEN_ROWS: Final = ("occurrence", "materialentity", "materialsample", "materialcitation")


@dataclass(frozen=True)
class Field:
    """A column of the core: term IRI, position in the file (None: a constant), and the value of a blank cell."""

    term: str
    index: int | None
    default: str


@dataclass(frozen=True)
class Core:
    """What ``meta.xml`` says of the core file."""

    member: str
    encoding: str
    dialect: Dialect
    header_lines: int
    fields: tuple[Field, ...]
    extensions: tuple[str, ...]


def meta_member(names: list[str]) -> str:
    """The ``meta.xml`` of an archive, at its top or in its one folder; "" if there is none."""
    found = [name for name in names if posixpath.basename(name).lower() == META and name.count("/") <= 1]
    return min(found, key=lambda name: name.count("/"), default="")


def read_archive(path: Path, progress: Progress | None = None) -> TextTable:
    """The core table of a Darwin Core archive, one column a term.

    Raises:
        FileProblems: ``meta.xml`` cannot be read or does not fit the archive, or the core file cannot be read.
    """
    with Archive(path) as archive:
        core = _read_meta(archive, meta_member(archive.names))
        with tempfile.TemporaryFile() as file:
            archive.copy(core.member, file)
            name = f"{path.name}, {posixpath.basename(core.member)}"
            table = _read_core(file, name, core, progress)
    table.file = path.name
    table.notes.insert(0, f"The core {shown(core.member)} of the Darwin Core archive was read.")
    if core.extensions:
        table.notes.append(f"Extensions of the archive were not read: {', '.join(core.extensions)}.")
    return table


def _read_meta(archive: Archive, member: str) -> Core:
    root = parse_markup(archive.read(member, _MAX_META_BYTES), archive.file, META)
    core = next(iter(children(root, "core")), None)
    if core is None:
        raise _meta_problem(
            archive, "it describes no core file", "An archive has one <core> with its <files> and <field>s."
        )
    extensions = tuple(_last_part(extension.get("rowType", "")) for extension in children(root, "extension"))
    _refuse_core_of_events(archive, core, extensions)
    return Core(
        _core_member(archive, member, core),
        _encoding(archive, core.get("encoding", "UTF-8")),
        _dialect(archive, core),
        _number(archive, core, "ignoreHeaderLines", core.get("ignoreHeaderLines", "0")),
        _fields(archive, core),
        extensions,
    )


def _meta_problem(archive: Archive, found: str, expected: str) -> FileProblems:
    return refusal(archive.file, META, found, expected)


def _refuse_core_of_events(archive: Archive, core: Element, extensions: tuple[str, ...]) -> None:
    """Rows of events are no specimens; to take them as such would judge the wrong things."""
    row_type = _last_part(core.get("rowType", "Occurrence"))
    if row_type.lower() not in _SPECIMEN_ROWS:
        held = " (the specimens are in an extension)" if any(e.lower() in _SPECIMEN_ROWS for e in extensions) else ""
        raise _meta_problem(
            archive,
            f"the core has rows of type {shown(row_type)}{held}",
            "Export the archive with the occurrences as its core, and the values of the events in their rows.",
        )


def _core_member(archive: Archive, meta: str, core: Element) -> str:
    locations = [location.text or "" for files in children(core, "files") for location in children(files, "location")]
    if len(locations) != 1:
        raise _meta_problem(archive, f"the core has {len(locations)} files", "A core has exactly one <location>.")
    member = posixpath.join(posixpath.dirname(meta), locations[0].strip())
    if member not in archive.names:
        raise _meta_problem(
            archive,
            f"the core file {shown(locations[0])} is not in the archive",
            f"The archive holds {', '.join(map(shown, archive.names[:10]))}; name one of them.",
        )
    return member


def _encoding(archive: Archive, written: str) -> str:
    try:
        name = codecs.lookup(written.strip()).name
        "".encode(name)
    except (LookupError, ValueError):
        raise _meta_problem(archive, f"encoding={shown(written)} is not known", 'Use encoding="UTF-8".') from None
    return name


def _dialect(archive: Archive, core: Element) -> Dialect:
    line_end = _unescaped(core.get("linesTerminatedBy", "\\n"))
    if line_end not in _LINE_ENDS:
        raise _meta_problem(archive, f"linesTerminatedBy={shown(line_end)}", "Lines end with \\n, \\r\\n or \\r.")
    separator = _unescaped(core.get("fieldsTerminatedBy", ","))
    quote = core.get("fieldsEnclosedBy", '"')
    if len(separator) != 1 or len(quote) > 1 or separator in '\r\n"' or separator == quote or quote in tuple("\r\n"):
        raise _meta_problem(
            archive,
            f"fieldsTerminatedBy={shown(separator)}, fieldsEnclosedBy={shown(quote)}",
            "Both are one character, and not the same.",
        )
    return Dialect(separator, quote)


def _unescaped(written: str) -> str:
    return _ESCAPES.get(written, written)


def _number(archive: Archive, element: Element, name: str, written: str) -> int:
    if not (written.strip().isdecimal() and len(written) < 7):
        raise _meta_problem(
            archive, f"{name}={shown(written)} on <{element.tag.rsplit('}', 1)[-1]}>", "It is a whole number."
        )
    return int(written)


def _fields(archive: Archive, core: Element) -> tuple[Field, ...]:
    fields = []
    for element in children(core, "field"):
        written = element.get("index")
        index = None if written is None else _number(archive, element, "index", written)
        fields.append(Field(element.get("term", "").strip(), index, element.get("default", "")))
    if not fields or any(not field.term for field in fields):
        raise _meta_problem(
            archive, "a <field> without a term, or no <field> at all", "Every <field> has a term and an index."
        )
    if max((field.index or 0) for field in fields) >= limits.MAX_COLUMNS or len(fields) > limits.MAX_COLUMNS:
        raise _meta_problem(archive, "too many columns", f"At most {limits.MAX_COLUMNS} are read.")
    return tuple(fields)


def _read_core(stream: IO[bytes], name: str, core: Core, progress: Progress | None) -> TextTable:
    note = _check_encoding(stream, name, core)
    width = 1 + max((field.index for field in core.fields if field.index is not None), default=0)
    with _opened(stream, core.encoding) as text:
        records = Records(text, name, core.dialect)
        records.skip(core.header_lines)
        width = max(width, _width_of_file(stream, core))
        grid = Grid(name, "", [f"column {i + 1}" for i in range(width)], core.header_lines)
        records.fill(grid, progress)
    table = grid.finish(core.encoding, core.dialect.separator)
    _name_columns(table, core.fields)
    table.notes += [note] if note else []
    return table


def _check_encoding(stream: IO[bytes], name: str, core: Core) -> str:
    """The bytes are checked as those of any text; a file that is not in the encoding it states is refused."""
    found = detect_encoding(stream, name)
    if found.name == "cp1252" and core.encoding == "utf-8":
        raise refusal(
            name, "", f"{META} says UTF-8, but the file is not: {found.note}", "Correct the encoding in meta.xml."
        )
    return "" if core.encoding == "utf-8" else f"The file is {core.encoding} text, as {META} says."


@contextmanager
def _opened(stream: IO[bytes], encoding: str) -> Iterator[io.TextIOWrapper]:
    stream.seek(0)
    text = io.TextIOWrapper(
        stream, encoding="utf-8-sig" if encoding == "utf-8" else encoding, errors="replace", newline=""
    )
    try:
        yield text
    finally:
        text.detach()


def _width_of_file(stream: IO[bytes], core: Core) -> int:
    """Cells of the first line: the file may have more columns than ``meta.xml`` names."""
    place = stream.tell()
    with _opened(stream, core.encoding) as text:
        first = text.readline(limits.MAX_LINE_BYTES)
    stream.seek(place)
    return first.count(core.dialect.separator) + 1


def _name_columns(table: TextTable, fields: tuple[Field, ...]) -> None:
    """One column a field, under its term; a blank cell takes the field's default, a field without index is constant."""
    rows = len(table.row_numbers)
    data = []
    for field in fields:
        column = [field.default] * rows if field.index is None else table.data[field.index]
        if field.index is not None and field.default:
            column = [cell if cell.strip() else field.default for cell in column]
        data.append(column)
    left_out = len(table.columns) - len({field.index for field in fields if field.index is not None})
    if left_out:
        table.notes.append(f"{left_out} columns of the core have no term and were not read.")
    table.columns, table.data = [field.term for field in fields], data


def _last_part(iri: str) -> str:
    return iri.rstrip("/#").replace("#", "/").rsplit("/", 1)[-1]
