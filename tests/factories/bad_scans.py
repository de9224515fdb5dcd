"""Contents that are damaged, dangerous or of another kind, each made here from nothing."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    TextStringObject,
)

from tests.factories import scans

Change = Callable[[PdfWriter], object]


def pdf_with(*changes: Change, pages: int = 2) -> bytes:
    """A PDF after some changes."""
    writer = PdfWriter(clone_from=io.BytesIO(scans.pdf(pages)))
    for change in changes:
        change(writer)
    file = io.BytesIO()
    writer.write(file)
    return file.getvalue()


def action(kind: str, **entries: object) -> DictionaryObject:
    """A dictionary of an action (ISO 32000-1, 12.6.4)."""
    made = DictionaryObject({NameObject("/S"): NameObject(f"/{kind}")})
    for key, value in entries.items():
        made[NameObject(f"/{key}")] = value if isinstance(value, DictionaryObject) else TextStringObject(str(value))
    return made


def opens_with(kind: str, **entries: object) -> Change:
    """What a reader is to do when it opens the file."""

    def change(writer: PdfWriter) -> None:
        writer.root_object[NameObject("/OpenAction")] = action(kind, **entries)

    return change


def page_opens_with(kind: str, **entries: object) -> Change:
    """What a reader is to do when it opens the last page."""

    def change(writer: PdfWriter) -> None:
        opened = DictionaryObject({NameObject("/O"): action(kind, **entries)})
        writer.pages[-1][NameObject("/AA")] = opened

    return change


def button_that(kind: str, **entries: object) -> Change:
    """A note on the first page with an action of its own."""

    def change(writer: PdfWriter) -> None:
        note = DictionaryObject(
            {
                NameObject("/Type"): NameObject("/Annot"),
                NameObject("/Subtype"): NameObject("/Link"),
                NameObject("/Rect"): ArrayObject([NumberObject(n) for n in (0, 0, 50, 50)]),
                NameObject("/A"): action(kind, **entries),
            }
        )
        writer.pages[0][NameObject("/Annots")] = ArrayObject([writer._add_object(note)])

    return change


def form_of_xml(writer: PdfWriter) -> None:
    """A form in XML, which may hold scripts."""
    stream = DecodedStreamObject()
    stream.set_data(b"<xdp/>")
    writer.root_object[NameObject("/AcroForm")] = DictionaryObject({NameObject("/XFA"): writer._add_object(stream)})


def locked(password: str, owner: str = "owner", algorithm: str = "AES-256") -> Change:
    return lambda writer: writer.encrypt(password, owner, algorithm=algorithm)


def without_contents(pdf: bytes) -> bytes:
    """The drawing of the first page is named and not there: its object has another number."""
    number = pdf.split(b"/Contents ", 1)[1].split(b" ", 1)[0]
    return pdf.replace(b"/Contents " + number + b" 0 R", b"/Contents " + b"9" * len(number) + b" 0 R", 1)


def png_of(width: int, height: int) -> bytes:
    """A PNG whose head promises so many pixels, with a few bytes of data: a bomb as small as its wrapping."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


def zipped(parts: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", method) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return file.getvalue()


CONTENT_TYPES = b'<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'
BODY = (
    b'<?xml version="1.0"?><w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main">'
    b"<w:body><w:p><w:r><w:t>Consent of the owner</w:t></w:r></w:p></w:body></w:document>"
)


def docx(body: bytes = BODY, **parts: bytes) -> bytes:
    """The least that is a Word document. parts: more of them, with "__" for a slash and "_dot_" for a point."""
    more = {name.replace("__", "/").replace("_dot_", "."): data for name, data in parts.items()}
    return zipped({"[Content_Types].xml": CONTENT_TYPES, "word/document.xml": body, **more})


def docx_bomb(megabytes: int) -> bytes:
    """It opens to so many megabytes of zeros."""
    return docx(word__media__image1_dot_bmp=b"\0" * (megabytes * 1_000_000))


def zip_that_lies(size_bytes: int, said_bytes: int) -> bytes:
    """A document whose list of parts says less than a part opens to."""
    made = bytearray(docx(word__media__image1_dot_bmp=b"\0" * size_bytes))
    true, false = struct.pack("<I", size_bytes), struct.pack("<I", said_bytes)
    return bytes(made).replace(true, false)


MAIL = (
    b"From: Zuzanna Wolk <z.wolk@example.org>\r\nTo: registrar@example.org\r\n"
    b"Date: Mon, 17 Jun 2024 10:12:00 +0200\r\nSubject: Consent\r\nMIME-Version: 1.0\r\n"
)


def mail_with(name: str, *, cut: int = 0) -> bytes:
    """A mail with one attached file. cut: bytes that are missing at its end."""
    whole = MAIL + (
        b'Content-Type: multipart/mixed; boundary="part"\r\n\r\n'
        b"--part\r\nContent-Type: text/plain\r\n\r\nThe consent is attached.\r\n"
        b"--part\r\nContent-Type: application/pdf\r\nContent-Transfer-Encoding: base64\r\n"
        b'Content-Disposition: attachment; filename="' + name.encode() + b'"\r\n\r\nJVBERi0=\r\n--part--\r\n'
    )
    return whole[: len(whole) - cut]
