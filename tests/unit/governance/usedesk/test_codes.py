"""What a code means that a reader typed.

AIM symbology identifiers: ISO/IEC 15424, "]", a letter of the symbology, a modifier; from memory. Start and stop signs
of Code 39, prefixes of labels, hyphens of word processors: common practice, no source. URN: RFC 8141. Control Pictures:
the Unicode block U+2400, where U+241D stands for the group separator.
"""

from __future__ import annotations

import pytest

from governance.usedesk.queries.codes import LONGEST, read_code

NUMBER = "LMN-FW-0241873"

ONE_NUMBER = {
    "plain": NUMBER,
    "with the end of a line": f"{NUMBER}\r\n",
    "with a tabulator": f"{NUMBER}\t",
    "with blanks around": f"  {NUMBER} ",
    "with a no-break space": f"\u00a0{NUMBER}\u00a0",
    "with group separators around": f"\x1d{NUMBER}\x1d",
    "with start and end of text": f"\x02{NUMBER}\x03",
    "with a byte order mark": f"\ufeff{NUMBER}",
    "with a zero-width space": f"{NUMBER}\u200b",
}
"""Codes that can mean nothing but the number."""

AMONG_OTHERS = {
    "Code 39": f"]A0{NUMBER}",
    "Code 128": f"]C0{NUMBER}",
    "GS1-128": f"]C1{NUMBER}",
    "Data Matrix": f"]d2{NUMBER}",
    "QR code": f"]Q3{NUMBER}",
    "a modifier that is a letter": f"]zC{NUMBER}",
    "identifier between control characters": f"\x1d]C1\x1d{NUMBER}\r",
    "with the signs of Code 39": f"*{NUMBER}*",
    "identifier and signs": f"]A0*{NUMBER}*",
    "an address": f"https://collections.lindmark.example/specimens/{NUMBER}/",
    "an address without a last stroke": f"http://id.lindmark.example/{NUMBER}",
    "an address with a query": f"https://id.lindmark.example/{NUMBER}?lang=sv#top",
    "an address in a QR code": f"]Q1https://id.lindmark.example/{NUMBER}",
    "an address in capitals": f"HTTPS://ID.LINDMARK.EXAMPLE/{NUMBER}",
    "an address with escapes": "https://id.lindmark.example/LMN%2DFW%2D0241873",
    "a URN": f"urn:catalog:LMN:FW:{NUMBER}",
    "a URN in capitals": f"URN:CATALOG:{NUMBER}",
    "a URN with a query": f"urn:lindmark:{NUMBER}?+view=label",
    "dashes of a word processor": "LMN\u2013FW\u20130241873",
    "minus signs": "LMN\u2212FW\u22120241873",
}
"""Codes that may mean the number, and the text itself, which could be a number, too."""


@pytest.mark.parametrize("raw", ONE_NUMBER.values(), ids=ONE_NUMBER.keys())
def test_nothing_but_the_number(raw: str) -> None:
    assert read_code(raw).numbers == (NUMBER,)


@pytest.mark.parametrize("raw", AMONG_OTHERS.values(), ids=AMONG_OTHERS.keys())
def test_the_number_is_among_what_is_tried(raw: str) -> None:
    code = read_code(raw)
    assert NUMBER in code.numbers
    assert len(code.numbers) > 1, "the text as it stands is tried, too"
    assert code.key is None


@pytest.mark.parametrize("raw", ["", " ", "\r\n", "\x1d", "\x00", "\u200b\ufeff", "\t\u00a0"])
def test_blank(raw: str) -> None:
    code = read_code(raw)
    assert code.is_blank and code.numbers == ()


@pytest.mark.parametrize(
    ("raw", "numbers"),
    [
        ("]C", ("]C",)),  # no modifier: no identifier
        ("]1A", ("]1A",)),  # the second place is a letter
        ("*", ("*",)),
        ("**", ("**",)),
        ("https://", ("https://",)),
        ("https://id.lindmark.example/", ("https://id.lindmark.example/",)),
        ("https://[id.lindmark.example/7", ("https://[id.lindmark.example/7",)),  # no address: a bracket stands open
        ("ftp://id.lindmark.example/7", ("ftp://id.lindmark.example/7",)),
        ("URNA-7", ("URNA-7",)),  # begins like one, and is none
        ("LMN 1", ("LMN 1",)),  # blanks inside belong to the number
        ("0241873", ("0241873",)),
    ],
)  # fmt: skip
def test_what_is_left_alone(raw: str, numbers: tuple[str, ...]) -> None:
    assert read_code(raw).numbers == numbers


def test_fields_within_a_code_are_not_guessed() -> None:
    """ "7" alone could be the number of another specimen."""
    assert "7" not in read_code(f"]d2{NUMBER}\x1d7").numbers


HOUSE = "register.lindmark.example"


def test_address_of_a_page_of_this_register_is_its_key() -> None:
    code = read_code(f"https://{HOUSE}/specimens/123/", HOUSE)
    assert (code.key, code.numbers) == (123, ())


def test_house_is_told_in_any_case_and_with_its_port() -> None:
    assert read_code("http://LOCALHOST:8000/specimens/7", "localhost:8000").key == 7
    assert read_code("http://localhost:9000/specimens/7", "localhost:8000").key is None


@pytest.mark.parametrize(
    "raw",
    [
        "https://elsewhere.example/specimens/123/",  # a number there, and no key here
        f"https://{HOUSE}/accessions/123/",
        f"https://{HOUSE}/specimens/123/edit/",
        f"https://{HOUSE}/specimens/{'9' * 30}/",
    ],
)
def test_other_addresses_are_no_key(raw: str) -> None:
    assert read_code(raw, HOUSE).key is None


def test_address_elsewhere_means_the_number_in_it() -> None:
    assert "123" in read_code("https://elsewhere.example/specimens/123/", HOUSE).numbers


@pytest.mark.parametrize("raw", ["UNDO", "undo", "]C1UNDO\r", "*UNDO*", " Undo "])
def test_undo_is_a_code(raw: str) -> None:
    assert read_code(raw).is_undo


@pytest.mark.parametrize("raw", ["UNDO-1", "LMN-UNDO", ""])
def test_undo_is_the_whole_code(raw: str) -> None:
    assert not read_code(raw).is_undo


def test_shown_keeps_what_was_read() -> None:
    """Control characters inside as their signs, so that a garbled code can be told from a good one."""
    assert read_code("LMN\x1d7\r").shown == "LMN\u241d7"
    assert read_code("LMN\x007").shown == "LMN\u24007"
    assert read_code("]C1LMN-7").shown == "]C1LMN-7"


def test_no_character_that_a_database_refuses() -> None:
    """PostgreSQL takes no NUL, and no driver takes half a pair of surrogates."""
    for raw in ("LMN\x007", "LMN\ud8007", "\ud800"):
        code = read_code(raw)
        for text in (code.shown, *code.numbers):
            assert "\0" not in text
            assert text.encode()
    assert read_code("LMN\x007").numbers == (), "LMN7 is another number"


def test_a_long_code_is_cut_where_it_is_shown_alone() -> None:
    code = read_code("https://id.lindmark.example/" + "x/" * 1000 + NUMBER)
    assert len(code.shown) == LONGEST == 300
    assert NUMBER in code.numbers
