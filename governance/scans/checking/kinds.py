"""What kind of file the first bytes show. Name and Content-Type of the sender are never asked.

Signatures are those of the formats' own specifications, as the list of the IANA media types points to them; markup is
told by the patterns of the WHATWG standard "MIME Sniffing", section 7.1 (from memory).
"""

from __future__ import annotations

import re
from enum import StrEnum

__all__ = ["HEAD_BYTES", "Kind", "kind_of_head", "refused_kind_of_head", "refused_text_of_head"]

HEAD_BYTES = 4096
"""So many first bytes are looked at."""


class Kind(StrEnum):
    """The kinds that are received, with their media type."""

    PDF = "application/pdf"
    JPEG = "image/jpeg"
    PNG = "image/png"
    TIFF = "image/tiff"
    HEIC = "image/heic"
    MAIL = "message/rfc822"
    OUTLOOK = "application/vnd.ms-outlook"
    DOCX = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
    TEXT = "text/plain"


_ACCEPTED_STARTS: tuple[tuple[bytes, Kind], ...] = (
    (b"\xff\xd8\xff", Kind.JPEG),
    (b"\x89PNG\r\n\x1a\n", Kind.PNG),
    (b"II*\x00", Kind.TIFF),
    (b"MM\x00*", Kind.TIFF),
    (b"II+\x00", Kind.TIFF),  # BigTIFF
    (b"MM\x00+", Kind.TIFF),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", Kind.OUTLOOK),  # a compound file: what is in it is looked at later
    (b"PK\x03\x04", Kind.DOCX),  # a ZIP: what is in it is looked at later
)

_HEIC_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})
"""ISO/IEC 23008-12, brands of still pictures and sequences coded by HEVC, and the two general ones."""

_REFUSED_STARTS: tuple[tuple[bytes, str], ...] = (
    (b"MZ", "program"),
    (b"\x7fELF", "program"),
    (b"\xca\xfe\xba\xbe", "program"),
    (b"\xce\xfa\xed\xfe", "program"),
    (b"\xcf\xfa\xed\xfe", "program"),
    (b"\xfe\xed\xfa\xce", "program"),
    (b"\xfe\xed\xfa\xcf", "program"),
    (b"\x00asm", "program"),
    (b"GIF8", "gif"),
    (b"BM", "bmp"),
    (b"8BPS", "photoshop"),
    (b"\x00\x00\x01\x00", "icon"),
    (b"\x00\x00\x00\x0cjP  ", "jpeg2000"),
    (b"\xff\x4f\xff\x51", "jpeg2000"),
    (b"\xff\x0a", "jpegxl"),
    (b"\x00\x00\x00\x0cJXL ", "jpegxl"),
    (b"AT&TFORM", "djvu"),
    (b"PK\x05\x06", "zip"),
    (b"PK\x07\x08", "zip"),
    (b"Rar!\x1a\x07", "archive"),
    (b"7z\xbc\xaf\x27\x1c", "archive"),
    (b"\x1f\x8b", "archive"),
    (b"BZh", "archive"),
    (b"\xfd7zXZ\x00", "archive"),
    (b"\x28\xb5\x2f\xfd", "archive"),
    (b"MSCF", "archive"),
    (b"SQLite format 3\x00", "database"),
    (b"OggS", "recording"),
    (b"ID3", "recording"),
    (b"fLaC", "recording"),
    (b"\x1aE\xdf\xa3", "recording"),
    (b"\x00\x00\x01\xba", "recording"),
)

_REFUSED_TEXTS: tuple[tuple[bytes, str], ...] = ((b"#!", "program"), (b"{\\rtf", "rtf"), (b"%!PS", "postscript"))

_MARKUP = re.compile(
    rb"<(!doctype\s+html|html|head|script|iframe|h[1-6]|div|font|table|a|style|title|b|body|br|p|meta|link|img|form|"
    rb"input|object|embed|base|center|span|ul|ol)(?=[\s>/])",
    re.IGNORECASE,
)
_XML_ROOT = re.compile(rb"<(?:[\w.-]+:)?([\w.-]+)(?=[\s>/])")
_XML_PROLOG = re.compile(
    rb"\A\s*(?:<\?.*?\?>|<!--.*?-->|<!doctype\b[^>\[]*(?:\[.*?\]\s*)?>)", re.IGNORECASE | re.DOTALL
)


def kind_of_head(head: bytes) -> Kind | None:
    """The kind by its signature; None for what has none, which is text or unknown."""
    for start, kind in _ACCEPTED_STARTS:
        if head.startswith(start):
            return kind
    if head[4:8] == b"ftyp" and _HEIC_BRANDS & _brands(head) and b"avif" not in _brands(head):
        return Kind.HEIC
    # ISO 32000-1, annex H, note 13: readers look for the header within the first 1024 bytes.
    if b"%PDF-" in head[:1024] and not (refused_kind_of_head(head) or refused_text_of_head(head)):
        return Kind.PDF
    return None


def _brands(head: bytes) -> set[bytes]:
    """The main and the compatible brands of an ISO base media file (ISO/IEC 14496-12, 4.3)."""
    end = min(int.from_bytes(head[:4], "big"), len(head))
    return {head[8:12], *(head[place : place + 4] for place in range(16, end, 4))}


def refused_kind_of_head(head: bytes) -> str:
    """A word for a kind that is known by its first bytes and not received; "" for what is not known.

    Some signatures are two capital letters, as collections have them ("BM", "MZ"): what is readable text to its end is
    none of these kinds, whatever it begins with.
    """
    for start, word in _REFUSED_STARTS:
        if head.startswith(start):
            return word
    if head[4:8] == b"ftyp":
        return "avif" if b"avif" in _brands(head) else "recording"
    if head[:4] == b"RIFF":
        return "webp" if head[8:12] == b"WEBP" else "recording"
    return "archive" if head[257:262] == b"ustar" else ""


def refused_text_of_head(head: bytes) -> str:
    """The same for kinds that are written as text: markup, programs, typesetting."""
    for start, word in _REFUSED_TEXTS:
        if head.startswith(start):
            return word
    return _markup(head)


def _markup(head: bytes) -> str:
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    if text[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = text[2:].replace(b"\x00", b"").lstrip()
    if not text.startswith(b"<"):
        return ""
    if _MARKUP.match(text):
        return "html"
    without = text
    while found := _XML_PROLOG.match(without):
        if re.match(rb"\s*<!doctype\s+html", found[0], re.IGNORECASE):
            return "html"
        without = without[found.end() :]
    without = without.lstrip()
    root = _XML_ROOT.match(without)
    name = root[1].lower() if root else b""
    if name == b"svg" or b"<svg" in text.lower():
        return "svg"
    if name in (b"html", b"xhtml") or _MARKUP.match(without):
        return "html"
    return "xml" if text.startswith((b"<?xml", b"<!--", b"<!")) else ""
