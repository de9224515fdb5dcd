"""What a page says of itself. Each line is written by hand from what offices print; common practice, no source."""

from __future__ import annotations

import pytest

from governance.scans.reading.printed import printed_page

SAID = [
    ("Page 3 of 7", (3, 7)),
    ("PAGE 3 OF 7", (3, 7)),
    ("Page: 3 of 7", (3, 7)),
    ("Page 3/7", (3, 7)),
    ("p. 3 of 7", (3, 7)),
    ("Sheet 3 of 7", (3, 7)),
    ("LND-2024-117 Page 12 of 60", (12, 60)),
    ("Ministry of Forests, page 1 of 1", (1, 1)),
    ("Página 3 de 7", (3, 7)),
    ("PÁGINA 3 DE 7", (3, 7)),
    ("Pagina 3 de 7", (3, 7)),
    ("Pág. 3 de 7", (3, 7)),
    ("pág. 3/7", (3, 7)),
    ("Hoja 3 de 7", (3, 7)),
    ("Folio 3 de 7", (3, 7)),
    ("Page 3 sur 7", (3, 7)),
    ("Feuillet 3 sur 7", (3, 7)),
    ("Page 3 de 7", (3, 7)),
    ("Folha 3 de 7", (3, 7)),
    ("Fl. 3/7", (3, 7)),
    ("Fls. 3 de 7", (3, 7)),
    ("Seite 3 von 7", (3, 7)),
    ("S. 3/7", (3, 7)),
    ("Blatt 3 von 7", (3, 7)),
    ("3/7", (3, 7)),
    ("- 3/7 -", (3, 7)),
    ("3 / 7", (3, 7)),
    ("3 von 7", (3, 7)),
    ("LND-2024-117 | 3/7", (3, 7)),
    ("LND-2024-117 · 17 June 2024 · 3/7", (3, 7)),
    ("100/117", (100, 117)),
]

NOT_SAID = [
    "2/2024",
    "Permit 2/2024",
    "Permit No. 3/7",
    "Resolución 3/7",
    "Expediente 117/2024",
    "Page 2/2024",
    "17/06/2024",
    "06/2024",
    "03/07",
    "17.6./18.6.",
    "LND-2024-3/7",
    "NC/3/7",
    "1/2 male, 1/2 female",
    "3/4 of the river bank",
    "3 of 7 specimens",
    "See page 3 of 7",
    "siehe Seite 3 von 7",
    "voir page 3 sur 7",
    "véase la hoja adjunta, ver página 3 de 7",
    "Page 7 of 3",
    "Page 0 of 3",
    "Page 3",
    "Stage 3 of 7",
    "homepage 3 of 7",
    "Page 3 of 7000",
    "Page 3 of 7/2024",
    "",
]


@pytest.mark.parametrize(("line", "expected"), SAID)
def test_it_is_read_at_the_foot(line: str, expected: tuple[int, int]) -> None:
    assert printed_page(f"{BODY}\n{line}") == expected


@pytest.mark.parametrize(("line", "expected"), SAID)
def test_it_is_read_at_the_head(line: str, expected: tuple[int, int]) -> None:
    assert printed_page(f"{line}\n{BODY}") == expected


@pytest.mark.parametrize("line", NOT_SAID)
def test_what_is_no_page_number_is_not_taken_for_one(line: str) -> None:
    """Dates, fractions, numbers of permits, and words about other pages."""
    assert printed_page(f"{line}\n{BODY}\n{line}") is None


BODY = "\n".join(f"The holder shall keep to condition number {number}." for number in range(1, 8))


def test_the_middle_of_a_page_says_nothing() -> None:
    assert printed_page(f"{BODY}\nPage 3 of 7\n{BODY}") is None


def test_head_and_foot_that_agree_say_one_thing() -> None:
    assert printed_page(f"Page 3 of 7\n{BODY}\nPage 3 of 7") == (3, 7)


def test_head_and_foot_that_disagree_say_nothing() -> None:
    """A fax prints its own count above that of the paper: neither is certain."""
    assert printed_page(f"Page 4 of 9\n{BODY}\nPage 3 of 7") is None


def test_named_numbers_go_before_bare_ones() -> None:
    assert printed_page(f"1/2\n{BODY}\nPage 3 of 7") == (3, 7)


def test_a_very_long_line_takes_no_time() -> None:
    assert printed_page("page 1 of " * 100_000) is None
