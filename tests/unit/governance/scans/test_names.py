"""Names of files as they come from anywhere: kept as data, harmless to show."""

from __future__ import annotations

import pytest

from governance.scans.names import clean_name, name_for_saving


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("permit.pdf", "permit.pdf"),
        ("  permit   2024 .pdf ", "permit 2024 .pdf"),
        # parts of paths, of both kinds of system
        ("../../etc/passwd", "passwd"),
        ("..\\..\\windows\\system.ini", "system.ini"),
        ("/absolute/permit.pdf", "permit.pdf"),
        ("C:\\Users\\x\\permit.pdf", "permit.pdf"),
        ("folder/", "folder"),
        # nothing is left
        ("", "unnamed"),
        ("..", "unnamed"),
        ("../..", "unnamed"),
        (" . ", "unnamed"),
        ("\x00", "unnamed"),
        ("\n\t", "unnamed"),
        # control characters: null, bell, escape, line ends that would begin a header of their own
        ("per\x00mit\x07.pdf", "per mit .pdf"),
        ("a\r\nContent-Type: text/html", "html"),
        ("a\r\nSet-Cookie: b", "a Set-Cookie: b"),
        ("line\u2028end.pdf", "line end.pdf"),
        ("\x1b[31mred.pdf", "[31mred.pdf"),
        # U+202E turns what follows around: "permit fdp.exe" would be shown as "permit exe.pdf"
        ("permit\u202efdp.exe", "permit\ufffdfdp.exe"),
        ("\u2066permit\u2069.pdf", "\ufffdpermit\ufffd.pdf"),
        # right-to-left letters need none of these and stay
        ("אישור איסוף.pdf", "אישור איסוף.pdf"),
        ("تصريح جمع.pdf", "تصريح جمع.pdf"),
        # Persian joins and parts its letters by U+200C
        ("می\u200cخواهم.pdf", "می\u200cخواهم.pdf"),
        # one name, whatever system wrote it: e + combining acute is é (Unicode, normalization form C)
        ("re\u0301ce\u0301pisse\u0301.pdf", "récépissé.pdf"),
        # half of a surrogate pair is no character
        ("per\ud800mit.pdf", "per\ufffdmit.pdf"),
        ("<script>alert(1)<", "<script>alert(1)<"),
        (".pdf", ".pdf"),
    ],
)
def test_cleaned(name: str, kept: str) -> None:
    assert clean_name(name) == kept


@pytest.mark.parametrize("length", [300, 499, 500])
def test_long_names_stay(length: int) -> None:
    name = "x" * (length - 4) + ".pdf"
    assert clean_name(name) == name


@pytest.mark.parametrize("length", [501, 1000, 100_000])
def test_longer_names_keep_their_ending(length: int) -> None:
    kept = clean_name("x" * (length - 4) + ".pdf")
    assert len(kept) == 500
    assert kept.startswith("xxx")
    assert kept.endswith("x….pdf")


def test_longer_name_without_ending() -> None:
    kept = clean_name("y" * 800)
    assert (len(kept), kept[-2:]) == (500, "y…")


def test_cleaning_twice_changes_nothing() -> None:
    for name in ("../a\u202eb.pdf", "z" * 900 + ".pdf", " a  b "):
        assert clean_name(clean_name(name)) == clean_name(name)


@pytest.mark.parametrize(
    ("name", "media_type", "saved"),
    [
        ("permit.pdf", "application/pdf", "permit.pdf"),
        ("PERMIT.PDF", "application/pdf", "PERMIT.PDF"),
        ("label.jpeg", "image/jpeg", "label.jpeg"),
        ("note.html", "text/plain", "note.html.txt"),
        ("note.svg", "text/plain", "note.svg.txt"),
        ("setup.exe", "application/pdf", "setup.exe.pdf"),
        ("permit", "application/pdf", "permit.pdf"),
        ("mail", "message/rfc822", "mail.eml"),
        ("x", "application/unheard-of", "x.bin"),
    ],
)
def test_ending_of_the_saved_file(name: str, media_type: str, saved: str) -> None:
    assert name_for_saving(name, media_type) == saved
