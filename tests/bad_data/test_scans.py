"""Files that are damaged, dangerous or of another kind: what is refused, in which words, and what is kept and flagged.

What this cannot show: that no file exists which breaks a library in a new way; for that the check runs in a process of
its own (``test_confined.py``).
"""

from __future__ import annotations

import io
import json
import random
from pathlib import Path
from typing import Any

import docx as word
import pillow_heif
import pytest
from PIL import Image

from governance.scans.checking.check import Checked, check_content
from governance.scans.checking.child import main
from governance.scans.checking.words import RefusedFile
from governance.scans.confined import Limits
from tests.factories import bad_scans as bad
from tests.factories import scans
from tests.factories.compound_files import compound, outlook_mail

ACCEPTED = "Received are PDF, JPEG, PNG, TIFF, HEIC, e-mail (.eml or .msg), Word (.docx) and plain text."


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where the content of the test lies. Its name says nothing."""
    return tmp_path / "content"


@pytest.fixture(autouse=True)
def looked_at_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """A process for each case takes long; only what may use much memory or time gets one of its own (``TestBombs``).
    What comes back goes through JSON all the same."""

    def run(module: str, arguments: list[Any], limits: Limits) -> Any:
        assert module == main.__module__
        return json.loads(json.dumps(main(arguments)))

    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", Image.MAX_IMAGE_PIXELS)  # put back after the test
    monkeypatch.setattr("governance.scans.checking.check.run", run)


def check(file: Path, content: bytes) -> Checked:
    file.write_bytes(content)
    return check_content(file)


def problem(file: Path, content: bytes) -> str:
    with pytest.raises(RefusedFile) as refused:
        check(file, content)
    assert str(refused.value) == refused.value.problem
    return refused.value.problem


def heic(size: tuple[int, int] = (64, 48)) -> bytes:
    made = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", size, "teal")).save(made)
    return made.getvalue()


def fax() -> bytes:
    """Black and white, as scanners send it (ITU-T T.6)."""
    made = io.BytesIO()
    Image.new("1", (400, 300), 1).save(made, "TIFF", compression="group4")
    return made.getvalue()


def real_docx() -> bytes:
    """By a library that is not ours."""
    document, made = word.Document(), io.BytesIO()
    document.add_paragraph("Consent of the owner")
    document.save(made)
    return made.getvalue()


SOUND: dict[str, tuple[bytes, str, int | None]] = {
    "pdf": (scans.pdf(pages=3), "application/pdf", 3),
    "pdf behind a few other bytes": (b"\r\n\r\n" + scans.pdf(), "application/pdf", 1),
    "jpeg": (scans.image("JPEG"), "image/jpeg", 1),
    "jpeg of a phone with two pictures": (scans.image("MPO", frames=2), "image/jpeg", 1),
    "png": (scans.png(), "image/png", 1),
    "tiff of three pages": (scans.image("TIFF", frames=3), "image/tiff", 3),
    "tiff in fax coding": (fax(), "image/tiff", 1),
    "heic": (heic(), "image/heic", 1),
    "mail": (bad.MAIL + b"\r\nI agree.\r\n", "message/rfc822", None),
    "mail of a mailbox": (b"From z.wolk Mon Jun 17\n" + bad.MAIL + b"\r\nI agree.\r\n", "message/rfc822", None),
    "outlook": (outlook_mail(), "application/vnd.ms-outlook", None),
    "docx": (real_docx(), "application/vnd.openxmlformats-officedocument.wordprocessingml.document", None),
    "text": ("Consent of the owner, Łódź 2024".encode(), "text/plain", None),
    "text with a mark of byte order": ("\ufeffConsent".encode("utf-8"), "text/plain", None),
    "text of two bytes a letter": ("Zgoda, Łódź".encode("utf-16"), "text/plain", None),
    "text that begins like a program": (b"MZB 1204, Bogor\r\n", "text/plain", None),
    "text that begins like a bitmap": (b"BM registers of 1924\n", "text/plain", None),
    "text that speaks of a tag": (b"see <html> below\n", "text/plain", None),
    "text with a colon": (b"Note: sent from the field\nDate: unknown\n", "text/plain", None),
}


@pytest.mark.parametrize("name", SOUND)
def test_sound_files_are_what_their_content_says(name: str, file: Path) -> None:
    content, media_type, pages = SOUND[name]
    found = check(file, content)
    assert (found.media_type, found.page_count) == (media_type, pages)
    assert not found.has_scripts
    assert found.remarks == ()


def worn(content: bytes, numbers: random.Random) -> bytes:
    """Some bytes are others, and sometimes a few are missing."""
    changed = bytearray(content)
    for _ in range(numbers.choice([1, 3, 20])):
        changed[numbers.randrange(len(changed))] = numbers.randrange(256)
    if numbers.random() < 0.3:
        place = numbers.randrange(len(changed))
        del changed[place : place + numbers.randrange(1, 50)]
    return bytes(changed)


@pytest.mark.parametrize("name", SOUND)
def test_worn_files_have_an_answer(name: str, file: Path) -> None:
    """Kept or refused with a sentence: nothing of a library comes through. Which of both, depends on the byte."""
    numbers = random.Random(name)
    for _ in range(8):
        try:
            found = check(file, worn(SOUND[name][0], numbers))
        except RefusedFile as refused:
            assert refused.problem.endswith(".")
        else:
            assert all(remark.endswith(".") for remark in found.remarks)


OTHER_KINDS: dict[str, tuple[bytes, str]] = {
    "windows program": (b"MZ\x90\x00\x03\x00\x00\x00" + bytes(100), "a program"),
    "linux program": (b"\x7fELF\x02\x01\x01\x00" + bytes(100), "a program"),
    "mac program": (b"\xcf\xfa\xed\xfe\x07\x00\x00\x01" + bytes(100), "a program"),
    "shell script": (b"#!/bin/sh\nrm -r /\n", "a program"),
    "java archive": (bad.zipped({"META-INF/MANIFEST.MF": b"Main-Class: A"}), "a program"),
    "web page": (b"<!DOCTYPE html><title>x</title><script>alert(1)</script>", "a web page (HTML)"),
    "web page behind a comment": (b"<!-- saved -->\n<html><body>", "a web page (HTML)"),
    "web page with byte order mark": (b"\xef\xbb\xbf <HTML>", "a web page (HTML)"),
    "web page of two bytes a letter": ("<html><script>".encode("utf-16"), "a web page (HTML)"),
    "bit of a web page": (b"  <script>alert(1)</script>", "a web page (HTML)"),
    "xhtml": (b'<?xml version="1.0"?>\n<html xmlns="http://www.w3.org/1999/xhtml"/>', "a web page (HTML)"),
    "svg": (b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', "an SVG drawing"),
    "svg as xml": (b'<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "b">]><svg:svg/>', "an SVG drawing"),
    "xml": (b'<?xml version="1.0"?><permit/>', "an XML file"),
    "rtf": (b"{\\rtf1 Consent}", "an RTF document"),
    "postscript": (b"%!PS-Adobe-3.0\n", "a PostScript file"),
    "gif": (scans.image("GIF"), "a GIF image"),
    "webp": (scans.image("WEBP"), "a WebP image"),
    "bmp": (scans.image("BMP"), "a BMP image"),
    "avif": (scans.image("AVIF"), "an AVIF image"),
    "jpeg 2000": (scans.image("JPEG2000"), "a JPEG 2000 image"),
    "zip": (bad.zipped({"permit.pdf": scans.pdf()}), "a ZIP archive"),
    "empty zip": (bad.zipped({}), "a ZIP archive"),
    "excel": (bad.zipped({"[Content_Types].xml": b"", "xl/workbook.xml": b""}), "an Excel workbook (.xlsx)"),
    "powerpoint": (bad.zipped({"ppt/presentation.xml": b""}), "a PowerPoint file (.pptx)"),
    "opendocument": (
        bad.zipped({"mimetype": b"application/vnd.oasis.opendocument.text"}, method=0), "an OpenDocument file"
    ),
    "gzip": (b"\x1f\x8b\x08\x00" + bytes(20), "a packed archive"),
    "rar": (b"Rar!\x1a\x07\x01\x00" + bytes(20), "a packed archive"),
    "7z": (b"7z\xbc\xaf\x27\x1c\x00\x04" + bytes(20), "a packed archive"),
    "older word": (compound({"WordDocument": b"x" * 100}), "an older Word document (.doc)"),
    "older excel": (compound({"Workbook": b"x" * 100}), "an older Excel workbook (.xls)"),
    "another compound file": (compound({"Stream": b"x" * 100}), "a compound file that is no mail"),
    "video": (b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42isom", "a sound or video recording"),
    "recording": (b"ID3\x04\x00\x00" + bytes(20), "a sound or video recording"),
    "database": (b"SQLite format 3\x00" + bytes(20), "a database file"),
}  # fmt: skip


@pytest.mark.parametrize("name", OTHER_KINDS)
def test_other_kinds_are_named(name: str, file: Path) -> None:
    """The sentence says what it is, what is accepted, and what to do."""
    content, found = OTHER_KINDS[name]
    told = problem(file, content)
    assert told.startswith(f"This is {found}. {ACCEPTED} ")
    assert told.removeprefix(f"This is {found}. {ACCEPTED} ").split()[0] in ("Save", "Unpack", "Send")


@pytest.mark.parametrize(
    "content",
    [bytes(1000), b"\x01\x02\x03", b"Permit \x00 number", b"abc\x1b[31m", bytes(range(256)), b"PK\x01\x02" + bytes(30)],
    ids=["zeros", "control", "nul in text", "escape", "every byte", "a piece of a zip"],
)
def test_what_is_nothing_known(content: bytes, file: Path) -> None:
    told = problem(file, content)
    assert told.startswith("What kind of file this is could not be told from its content.")
    assert ACCEPTED in told


def test_empty(file: Path) -> None:
    assert problem(file, b"").startswith("The file is empty (0 bytes).")


CUT: dict[str, tuple[bytes, str]] = {
    "pdf in the middle": (scans.pdf(pages=9)[:3000], "The PDF ends in the middle"),
    "pdf at its last line": (scans.pdf()[:-5], "The PDF ends in the middle"),
    "pdf after its head": (b"%PDF-1.7\n", "The PDF ends in the middle"),
    "pdf, the later of its editions": (
        scans.pdf() + b"7 0 obj\n<< /Type /Page /Parent", "The PDF ends in the middle"
    ),
    "pdf for the web": (
        scans.pdf().replace(b"%PDF-1.3\n", b"%PDF-1.3\n1 0 obj\n<</Linearized 1/L 99999>>\nendobj\n", 1),
        "The PDF ends in the middle",
    ),
    "jpeg": (scans.image("JPEG", (600, 400))[:-900], "The JPEG image is damaged or ends in the middle"),
    "jpeg after its head": (b"\xff\xd8\xff\xe0" + bytes(10), "The JPEG image is damaged"),
    "png": (scans.png((600, 400))[:-300], "The PNG image is damaged or ends in the middle"),
    "tiff": (scans.image("TIFF", (600, 400))[:-900], "The TIFF image is damaged or ends in the middle"),
    "tiff, the last of its pages": (
        scans.image("TIFF", (300, 200), frames=3, compression="tiff_lzw")[:-4000], "The TIFF image is damaged"
    ),
    "heic": (heic((300, 200))[:-100], "The HEIC image is damaged or ends in the middle"),
    "docx": (real_docx()[:-400], "The Word document or ZIP archive is damaged"),
    "docx after its first part": (real_docx()[:600], "The Word document or ZIP archive is damaged"),
    "mail in its attached file": (bad.mail_with("permit.pdf", cut=12), "The mail ends in the middle"),
    "outlook": (outlook_mail()[:-1024], "The Outlook mail (.msg) is damaged"),
    "outlook after its head": (outlook_mail()[:1100], "The mail or Office document is damaged"),
}  # fmt: skip


@pytest.mark.parametrize("name", CUT)
def test_cut_off(name: str, file: Path) -> None:
    content, told = CUT[name]
    assert problem(file, content).startswith(told)


def flipped(content: bytes, start: float, count: int = 40) -> bytes:
    """Some bytes turned over, at a share of the length."""
    place = int(len(content) * start)
    return content[:place] + bytes(255 - one for one in content[place : place + count]) + content[place + count :]


DAMAGED: dict[str, tuple[bytes, str]] = {
    "pdf without objects": (b"%PDF-1.4\nnothing\n%%EOF\n", "The PDF is damaged"),
    "pdf of which a page has lost its drawing": (
        bad.without_contents(scans.pdf(9)), "The PDF is damaged: its page 1 cannot be opened"
    ),
    "png with a wrong sum": (flipped(scans.png((600, 400)), 0.5), "The PNG image is damaged"),
    "docx with a wrong sum": (flipped(bad.docx(word__a_dot_txt=b"", big=b"A" * 9), 0.3, 4), "The Word document"),
    "docx without a head": (bad.docx(body=b"no markup"), "The Word document is damaged"),
    "docx with a cut body": (bad.docx(body=bad.BODY[:-20]), "The Word document is damaged"),
}  # fmt: skip


@pytest.mark.parametrize("name", DAMAGED)
def test_damaged(name: str, file: Path) -> None:
    content, told = DAMAGED[name]
    sentence = problem(file, content)
    assert sentence.startswith(told)
    assert sentence.endswith("Look whether the original opens, and send it again.")


ASKS = "asks for a password. Save a copy without the password, and send that."
PASSWORD: dict[str, tuple[bytes, str]] = {
    "pdf, 40 bits": (bad.pdf_with(bad.locked("geheim", algorithm="RC4-40")), "PDF"),
    "pdf, 128 bits": (bad.pdf_with(bad.locked("geheim", algorithm="AES-128")), "PDF"),
    "pdf, 256 bits": (bad.pdf_with(bad.locked("geheim")), "PDF"),
    "office": (compound({"EncryptedPackage": b"x" * 100, "EncryptionInfo": b"x"}), "Office document"),
}


@pytest.mark.parametrize("name", PASSWORD)
def test_password(name: str, file: Path) -> None:
    content, kind = PASSWORD[name]
    assert problem(file, content) == f"The {kind} {ASKS}"


@pytest.mark.parametrize("algorithm", ["RC4-128", "AES-128", "AES-256"])
def test_pdf_that_only_forbids_printing_is_kept(algorithm: str, file: Path) -> None:
    """And what it carries is seen behind the encryption, too."""
    content = bad.pdf_with(bad.opens_with("JavaScript", JS="app.alert(1)"), bad.locked("", algorithm=algorithm))
    found = check(file, content)
    assert (found.page_count, found.has_scripts) == (2, True)
    assert found.remarks[0].startswith("The PDF opens without a password, and asks readers not to print")
    assert found.remarks[1].startswith("The PDF carries scripts.")


CARRIES: dict[str, tuple[bytes, str]] = {
    "script when it opens": (bad.pdf_with(bad.opens_with("JavaScript", JS="app.alert(1)")), "scripts"),
    "script of a page": (bad.pdf_with(bad.page_opens_with("JavaScript", JS="x")), "scripts"),
    "script of a button": (bad.pdf_with(bad.button_that("JavaScript", JS="x")), "scripts"),
    "script behind another action": (
        bad.pdf_with(bad.opens_with("GoTo", Next=bad.action("JavaScript", JS="x"))), "scripts"
    ),
    "form in xml": (bad.pdf_with(bad.form_of_xml), "scripts"),
    "program to start": (bad.pdf_with(bad.opens_with("Launch", F="calc.exe")), "an order to start a program"),
    "program of a button": (bad.pdf_with(bad.button_that("Launch", F="a.sh")), "an order to start a program"),
    "attached file": (bad.pdf_with(lambda w: w.add_attachment("a.exe", b"MZ")), "attached files"),
    "form that sends": (bad.pdf_with(bad.button_that("SubmitForm", F="http://a")), "a form that sends what is typed"),
    "link to a file": (bad.pdf_with(bad.button_that("GoToR", F="b.pdf")), "a link to a file beside it"),
    "video": (bad.pdf_with(bad.button_that("Rendition", OP="0")), "sound or video"),
    "two at once": (
        bad.pdf_with(bad.opens_with("Launch", F="a"), lambda w: w.add_attachment("a", b"b")),
        "attached files, an order to start a program",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CARRIES)
def test_pdf_that_carries_something_is_kept_and_flagged(name: str, file: Path) -> None:
    content, what = CARRIES[name]
    found = check(file, content)
    assert found.has_scripts
    assert found.remarks == (
        f"The PDF carries {what}. Nothing of it is run here; mind it when you open the downloaded file.",
    )


def test_link_to_an_address_is_no_script(file: Path) -> None:
    found = check(file, bad.pdf_with(bad.button_that("URI", URI="https://example.org")))
    assert (found.has_scripts, found.remarks) == (False, ())


def test_macros_are_flagged(file: Path) -> None:
    found = check(file, bad.docx(word__vbaProject_dot_bin=b"\0" * 100))
    assert found.has_scripts
    assert found.remarks[0].startswith("The document carries macros.")


def test_attached_files_of_a_mail_are_named(file: Path) -> None:
    """Their names are as harmless as those of files: no paths, nothing that turns the writing round."""
    found = check(file, bad.mail_with("../../consent.pdf"))
    assert found.remarks == (
        "The mail carries 1 attached file: consent.pdf. Send it by itself if it is to be read here.",
    )


def test_older_encoding_is_told(file: Path) -> None:
    found = check(file, "Genehmigung für Käfer".encode("latin-1"))
    assert found.media_type == "text/plain"
    assert found.remarks == (
        "The text does not say how its letters are encoded; letters with accents may be shown wrongly.",
    )


class TestBombs:
    """Small files that open to something vast: refused by what they promise, before they are opened."""

    @pytest.fixture(autouse=True)
    def looked_at_here(self) -> None:
        """Not here, but in the process with limits."""

    def test_picture(self, file: Path) -> None:
        """20 000 x 20 000 = 400 million pixels, in under 200 bytes."""
        content = bad.png_of(20_000, 20_000)
        assert len(content) < 200
        told = problem(file, content)
        assert told.startswith("The image has 20000 × 20000 pixels, more than the 150 million that are opened.")
        assert told.endswith("Scan it again at a lower resolution, or in parts.")

    def test_picture_of_two_billion(self, file: Path) -> None:
        assert "2147483647 × 2147483647 pixels" in problem(file, bad.png_of(2**31 - 1, 2**31 - 1))

    def test_document(self, file: Path) -> None:
        """Half a gigabyte of zeros in half a megabyte."""
        content = bad.docx_bomb(450)
        assert len(content) < 600_000
        told = problem(file, content)
        assert told.startswith("The document opens to 450 MB or more, past the 400 MB that are opened.")

    def test_document_that_lies_about_its_size(self, file: Path) -> None:
        """A part of 2 MB that says it has 1000 bytes: reading ends there, and the checksum does not fit."""
        assert "is damaged" in problem(file, bad.zip_that_lies(2_000_000, 1000))

    def test_document_of_many_parts(self, file: Path) -> None:
        parts = {f"word/{number}.xml": b"" for number in range(5001)}
        told = problem(file, bad.docx(**{name.replace("/", "__").replace(".", "_dot_"): b"" for name in parts}))
        assert told.startswith("The document opens to")

    def test_document_with_growing_words(self, file: Path) -> None:
        """Each entity is ten of the one before."""
        laughs = b"".join(b'<!ENTITY a%d "%s">' % (n, b"&a%d;" % (n - 1) * 10) for n in range(1, 10))
        body = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a0 "ha">' + laughs + b"]><a>&a9;</a>"
        assert problem(file, bad.docx(body=body)).startswith("The Word document is damaged")

    def test_pdf_of_many_pages(self, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """The limit itself is looked at in the process that would be the child."""
        monkeypatch.setattr("governance.scans.checking.pdfs.MOST_PAGES", 3)
        file.write_bytes(scans.pdf(pages=4))
        assert main([str(file)]) == {"unfit": "too-many-pages", "values": {"pages": 4, "most": 3}}


def test_pdf_that_cannot_be_followed_is_kept_and_flagged(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its pages open in the library that draws; the other, which looks for scripts, gives up."""

    def gives_up(*_: Any) -> None:
        raise RecursionError

    monkeypatch.setattr("pypdf.PdfReader", gives_up)
    file.write_bytes(scans.pdf())
    found = main([str(file)])
    assert (found["has_scripts"], found["page_count"]) == (True, 1)
    assert found["remarks"] == [("pdf-not-looked-at", {})]
