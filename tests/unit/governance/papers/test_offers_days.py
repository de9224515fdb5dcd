"""Days read from the words of papers. The days were read from the sentences by hand; no day is guessed."""

from __future__ import annotations

import re

import pytest

from governance.papers.offers import Offer, PageText, WhyNot, offers_in

DATES = ("issued_on", "in_force_from", "in_force_to")


def dated(text: str) -> list[tuple[str, str]]:
    return [(offer.field, offer.value) for offer in found(text) if offer.value]


def found(text: str, **more: object) -> list[Offer]:
    page = PageText(1, 1, text, **more)  # type: ignore[arg-type]
    return [offer for offer in offers_in([page]) if offer.field in DATES]


@pytest.mark.parametrize(
    ("words", "field", "day"),
    [
        ("Date of issue: 6 May 2024", "issued_on", "2024-05-06"),
        ("Issued on May 6th, 2024", "issued_on", "2024-05-06"),
        ("Done at Lindmark, this 6th day of May 2024", "issued_on", "2024-05-06"),
        ("Date: 2024-05-06", "issued_on", "2024-05-06"),
        ("Valid until 31.12.2024", "in_force_to", "2024-12-31"),
        ("Expires on: Friday, 28 February 2025", "in_force_to", "2025-02-28"),
        ("Valid until 29 February 2024", "in_force_to", "2024-02-29"),
        ("In force from 05/05/2024", "in_force_from", "2024-05-05"),
        ("Fecha de emisión: 22 de enero de 2026", "issued_on", "2026-01-22"),
        ("Dado en Las Lapas, el 22 de enero del 2026", "issued_on", "2026-01-22"),
        ("Válido desde el 1.º de febrero de 2026", "in_force_from", "2026-02-01"),
        ("Vigente hasta el 28 de febrero de 2026", "in_force_to", "2026-02-28"),
        ("Fait à Okarumbwa, le 5 août 2024", "issued_on", "2024-08-05"),
        ("Valable à compter du 1er juin 2024", "in_force_from", "2024-06-01"),
        ("Valable jusqu’au 31 décembre 2024", "in_force_to", "2024-12-31"),
        ("Data de emissão: 9 de março de 2024", "issued_on", "2024-03-09"),
        ("Válida a partir de 1º de setembro de 2024", "in_force_from", "2024-09-01"),
        ("Válida até 31 de outubro de 2024", "in_force_to", "2024-10-31"),
        ("Ausgestellt am 5. März 2024", "issued_on", "2024-03-05"),
        ("Gültig ab dem 1. Dezember 2024", "in_force_from", "2024-12-01"),
        ("GÜLTIG BIS ZUM 31. JANUAR 2025", "in_force_to", "2025-01-31"),
        ("Valid from:\n6 May 2024", "in_force_from", "2024-05-06"),
    ],
)
def test_one_day_behind_its_cue(words: str, field: str, day: str) -> None:
    assert dated(words) == [(field, day)]


@pytest.mark.parametrize(
    ("words", "first", "last"),
    [
        ("Valid from 20 May 2024 to 15 June 2024.", "2024-05-20", "2024-06-15"),
        ("Valid from 20 May to 15 June 2024.", "2024-05-20", "2024-06-15"),
        ("Validity: 20 May 2024 – 15 June 2025", "2024-05-20", "2025-06-15"),
        ("Válido del 1 de mayo al 31 de octubre de 2024", "2024-05-01", "2024-10-31"),
        ("Vigencia: 01-02-2026", "", ""),
        ("Valable du 1er mai au 31 octobre 2024", "2024-05-01", "2024-10-31"),
        ("Valable du 1er mai 2024 jusqu'au 31 octobre 2024 inclus", "2024-05-01", "2024-10-31"),
        ("Válida de 1 de maio a 31 de outubro de 2024", "2024-05-01", "2024-10-31"),
        ("Gültig vom 1. Mai bis zum 31. Oktober 2024", "2024-05-01", "2024-10-31"),
        ("Valable du ler avril au 31 mai 2021", "", "2021-05-31"),  # what was read as l may be another figure
        ("Die Erlaubnis ist giiltig vom 1. Mai bis zum 30. September 2020", "2020-05-01", "2020-09-30"),
        ("Valid from 1 November to 31 March 2025", "", "2025-03-31"),  # the year of the first day is not written
    ],
)
def test_from_one_day_to_another(words: str, first: str, last: str) -> None:
    days = dict(dated(words))
    assert days.get("in_force_from", "") == first
    assert days.get("in_force_to", "") == last


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("Issued on 05/06/2024", WhyNot.TWO_READINGS),
        ("Ausgestellt am 05.06.2024", WhyNot.TWO_READINGS),
        ("Fecha: 05-06-2024", WhyNot.TWO_READINGS),
        ("Issued on 25/06/24", WhyNot.TWO_DIGIT_YEAR),
        ("Issued on 25 June '24", WhyNot.TWO_DIGIT_YEAR),
        ("Valid until 31 April 2024", WhyNot.NO_SUCH_DAY),
        ("Valid until 29 February 2025", WhyNot.NO_SUCH_DAY),
        ("Valid until 31/02/2024", WhyNot.NO_SUCH_DAY),
        ("Valid until l5 June 2024", WhyNot.LETTER_FOR_FIGURE),
        ("Valid until |5 June 2024", WhyNot.LETTER_FOR_FIGURE),  # the stroke may be a 1
        ("Valid until 15 June 2O24", WhyNot.LETTER_FOR_FIGURE),
        ("Valid until 15 de junio de 2O24", WhyNot.LETTER_FOR_FIGURE),
        ("Valable à partir du ler juin 2024", WhyNot.LETTER_FOR_FIGURE),
        ("Válida a partir de | de junho", WhyNot.LETTER_FOR_FIGURE),
    ],
)
def test_what_is_not_one_day_is_shown_and_not_offered(words: str, why: str) -> None:
    (offer,) = found(words)
    assert (offer.value, offer.why_not, offer.words) == ("", why, words)


def test_a_day_of_two_readings_names_both() -> None:
    (offer,) = found("Issued on 05/06/2024")
    assert offer.readings == ("2024-06-05", "2024-05-06")


@pytest.mark.parametrize(
    "words",
    [
        "This permit replaces permit no. COL-2023-011 issued on 3 March 2023.",
        "Your letter dated 3 March 2023",
        "Act of 12 May 1990",
        "A report is due by 31 December 2024.",
        "Application no. 7, issued on 3 March 2023",
        "Remplace le permis délivré le 3 mars 2023",
        "Ersetzt die Genehmigung, ausgestellt am 3. März 2023",
        "3 March 2023",
        "Valid for one year",
        "Valid until 15 June",
        "Validity: 31 December 2024",  # the first or the last day? The words do not say.
        "Valid from   Valid to\n1 May 2024   31 October 2024",  # which label is whose?
        "Valid until\n\n\nPage 3\nlorem 15 June 2024",
        "Valid until ~~ 5 June 2024",  # what a stamp left over
        "Valid until 5 June 20 4",
        "Valid until 5 Foo 2024",
        "12/2024",
    ],
)
def test_nothing_is_made_of_days_that_say_something_else(words: str) -> None:
    assert found(words) == []


def test_a_badly_recognised_day_is_shown_with_how_sure_it_is_and_not_offered() -> None:
    text = "Valid until 5 June 2024"
    places = [(0, 5, 96), (6, 11, 95), (12, 13, 41), (14, 18, 93), (19, 23, 90)]
    words = [[start, end, 0.02 * start, 0.1, 0.02 * end, 0.12, sure] for start, end, sure in places]
    (offer,) = found(text, words=words)
    assert (offer.value, offer.why_not, offer.confidence) == ("", WhyNot.UNSURE, 41)
    words[2][6] = 77
    (offer,) = found(text, words=words)
    assert (offer.value, offer.confidence) == ("2024-06-05", 77)


@pytest.mark.parametrize(
    ("rooms", "is_offered"),
    [
        ((0.5, 0.5, 0.5, 0.5), True),
        ((0.5, 1.1, 0.5, 0.5), False),  # before the day
        ((0.5, 0.5, 1.1, 0.5), False),  # between day and month: the second figure of the day
        ((0.5, 0.5, 0.5, 1.1), False),
        ((0.5, 4.0, 0.5, 0.5), True),  # the day stands in a column of its own
        ((1.1, 0.5, 0.5, 0.5), True),  # between the words of the cue
    ],
)
def test_a_recognised_day_that_may_have_lost_a_figure_is_not_offered(
    rooms: tuple[float, ...], is_offered: bool
) -> None:
    """Of "31 August" under correction fluid "1 August" is left, well recognised; only the room tells. Rooms between the
    words by their height, on a page of A4 (210 by 297)."""
    text, height = "Valid until 1 August 2024", 0.01
    left, words = 0.1, []
    for number, match in enumerate(re.finditer(r"\S+", text)):
        left += rooms[number - 1] * height * 297 / 210 if number else 0
        words.append([match.start(), match.end(), left, 0.1, left + 0.03, 0.1 + height, 96])
        left += 0.03
    (offer,) = found(text, words=words)
    assert (offer.value, offer.why_not) == (("2024-08-01", "") if is_offered else ("", WhyNot.UNSURE))


def test_places_in_the_text_are_those_of_the_words() -> None:
    text = "GÜLTIGKEIT\nAusgestellt am 5. März 2024 in Lindmark"
    (offer,) = found(text)
    assert text[offer.start : offer.end] == "Ausgestellt am 5. März 2024"
