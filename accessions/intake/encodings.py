"""Which encoding a text file has, found out by reading all of it once."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from typing import IO, Final

from accessions.intake import limits
from accessions.intake.problems import refusal

WINDOWS_1252: Final = "cp1252"
_MARKS: Final = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_NOT_IN_1252: Final = re.compile(rb"[\x81\x8d\x8f\x90\x9d]")


@dataclass(frozen=True)
class Encoding:
    """name: for ``open``. note: what is said to the person, "" if there is nothing to say."""

    name: str
    note: str = ""


def detect_encoding(stream: IO[bytes], file: str) -> Encoding:
    """The encoding of a text: by its byte order mark, else UTF-16 by its pattern, else UTF-8, else Windows-1252.

    Reads the whole stream once, in pieces, and leaves it at its start.

    Raises:
        FileProblems: NUL bytes in a text that is no UTF-16; bytes that are neither UTF-8 nor Windows-1252; a line
            longer than ``MAX_LINE_BYTES``.
    """
    stream.seek(0)
    head = stream.read(limits.CHUNK_BYTES)
    for mark, name in _MARKS:
        if head.startswith(mark):
            return _checked(stream, file, name)
    wide = _unmarked_utf_16(head)
    if wide:
        return _checked(stream, file, wide)
    return _single_bytes(stream, file)


def _unmarked_utf_16(head: bytes) -> str:
    """Text in Latin letters has a zero in every second byte of UTF-16."""
    even, odd = head[:4000:2].count(0), head[1:4000:2].count(0)
    half = len(head[:4000]) // 2
    if half and odd > 0.4 * half and even == 0:
        return "utf-16-le"
    return "utf-16-be" if half and even > 0.4 * half and odd == 0 else ""


def _checked(stream: IO[bytes], file: str, name: str) -> Encoding:
    """The named encoding, if all of the text can be read in it."""
    decoder = codecs.getincrementaldecoder(name)()
    lines = _LineLength(file)
    stream.seek(0)
    try:
        while chunk := stream.read(limits.CHUNK_BYTES):
            text = decoder.decode(chunk)
            if "\0" in text:
                raise _nul(file, lines.line_of(text.partition("\0")[0]))
            lines.see(chunk if name == "utf-8-sig" else text.encode("utf-8", "replace"))
        decoder.decode(b"", final=True)
    except UnicodeDecodeError as error:
        raise refusal(
            file, f"line {lines.count + 1} or after", f"the text begins like {name.upper()} but goes on otherwise",
            "Save the whole file as UTF-8.",
        ) from error  # fmt: skip
    finally:
        stream.seek(0)
    said = "" if name == "utf-8-sig" else f"The file is {name.upper()[:6]} text."
    return Encoding(name, said)


def _single_bytes(stream: IO[bytes], file: str) -> Encoding:
    decoder = codecs.getincrementaldecoder("utf-8")()
    lines = _LineLength(file)
    not_utf_8_line = 0
    stream.seek(0)
    while chunk := stream.read(limits.CHUNK_BYTES):
        if b"\0" in chunk:
            raise _nul(file, lines.line_of(chunk.partition(b"\0")[0]))
        if not not_utf_8_line:
            not_utf_8_line = _first_bad_line(decoder, chunk, lines.count)
        if not_utf_8_line and (bad := _NOT_IN_1252.search(chunk)):
            raise refusal(
                file,
                f"line {lines.line_of(chunk[: bad.start()])}",
                f"the byte 0x{bad[0].hex().upper()} is a letter neither in UTF-8 nor in Windows-1252",
                "Save the file as UTF-8.",
            )
        lines.see(chunk)
    if not not_utf_8_line:
        not_utf_8_line = _first_bad_line(decoder, b"", lines.count, final=True)
    stream.seek(0)
    if not not_utf_8_line:
        return Encoding("utf-8")
    note = (
        f"The file is not UTF-8 (first seen in line {not_utf_8_line}) and was read as Windows-1252. "
        "Look at the accents; if they are wrong, save the file as UTF-8."
    )
    return Encoding(WINDOWS_1252, note)


def _first_bad_line(decoder: codecs.IncrementalDecoder, chunk: bytes, lines: int, final: bool = False) -> int:
    """Line of the first byte that is no UTF-8; 0 if there is none."""
    try:
        decoder.decode(chunk, final)
    except UnicodeDecodeError as error:
        before: bytes = error.object[: error.start]
        return lines + 1 + before.count(b"\n")
    return 0


def _nul(file: str, line: int) -> Exception:
    return refusal(
        file,
        f"line {line}",
        "there is a NUL byte, which no text has",
        "The file is damaged or no text file; save it anew as CSV in UTF-8, or as XLSX.",
    )


class _LineLength:
    """Counts lines, and refuses one that is longer than any row could be before it is held in memory."""

    def __init__(self, file: str) -> None:
        self._file = file
        self._length = 0
        self.count = 0

    def see(self, chunk: bytes) -> None:
        last = max(chunk.rfind(b"\n"), chunk.rfind(b"\r"))
        self._length = self._length + len(chunk) if last < 0 else len(chunk) - last - 1
        self.count += chunk.count(b"\n")
        if self._length > limits.MAX_LINE_BYTES:
            raise refusal(
                self._file,
                f"line {self.count + 1}",
                f"the line is longer than {limits.MAX_LINE_BYTES:,} bytes",
                "Rows are lines of text; check that the file is a table and that its lines end.",
            )

    def line_of(self, before: bytes | str) -> int:
        newlines = before.count("\n") if isinstance(before, str) else before.count(b"\n")
        return self.count + 1 + newlines
