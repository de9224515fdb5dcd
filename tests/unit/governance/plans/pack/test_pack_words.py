"""The words of the pack: every language says the same things, with the same blanks, and days that nobody mistakes."""

from __future__ import annotations

import string
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest

from governance.engine.tables import CODES, Layer, Verdict
from governance.papers.models import PaperKind, PaperVersion
from governance.plans.models import Consignment, PlanLanguage
from governance.plans.pack.journey import caution_figures
from governance.plans.pack.language import language, languages
from governance.verdicts.cells import Cell

CODES_OF_LANGUAGES = list(PlanLanguage.values)


def phrases(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every phrase of a file with its path."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from phrases(inner, f"{path}/{key}")
    elif isinstance(value, list):
        yield path, str(len(value))
    else:
        yield path, str(value)


def blanks(phrase: str) -> set[str]:
    return {name for _text, name, _spec, _conversion in string.Formatter().parse(phrase) if name}


def test_every_language_of_plans_can_be_chosen() -> None:
    """Adding a language is a file; a language without one would fail on the day somebody prints."""
    assert [code for code, _label in languages()] == CODES_OF_LANGUAGES


@pytest.mark.parametrize("code", [code for code in CODES_OF_LANGUAGES if code != "en"])
def test_a_language_has_the_keys_and_blanks_of_english(code: str) -> None:
    english, other = dict(phrases(language("en").groups)), dict(phrases(language(code).groups))
    assert set(other) == set(english)
    assert {path: blanks(phrase) for path, phrase in other.items() if blanks(phrase) != blanks(english[path])} == {}
    assert [path for path, phrase in other.items() if not phrase] == []


@pytest.mark.parametrize("code", CODES_OF_LANGUAGES)
def test_every_word_of_the_register_has_a_word_in_the_pack(code: str) -> None:
    groups = language(code).groups
    assert set(groups["layers"]) == {layer.code for layer in Layer}
    assert set(groups["verdicts"]) == {Cell(verdict).data_v for verdict in Verdict}
    assert set(groups["kinds"]) == set(PaperKind.values)
    assert set(groups["reasons"]) == {code for code in CODES if code}
    assert set(groups["assistants"]) == set(PaperVersion.Assistants.values)
    assert set(groups["cites"]) == {value for value in Consignment.Cites.values if value}


@pytest.mark.parametrize(
    ("code", "told", "first_of_may"),
    [
        # Common practice, no source: the long forms of newspapers; French and Portuguese mark the first of a month.
        ("en", "3 June 2027", "1 May 2027"),
        ("es", "3 de junio de 2027", "1 de mayo de 2027"),
        ("fr", "3 juin 2027", "1er mai 2027"),
        ("pt", "3 de junho de 2027", "1º de maio de 2027"),
    ],
)
def test_days_have_their_month_in_words(code: str, told: str, first_of_may: str) -> None:
    """3/6 is June in one country and March in another."""
    assert language(code).day(date(2027, 6, 3)) == told
    assert language(code).day(date(2027, 5, 1)) == first_of_may


def test_one_day_is_no_span_and_open_days_are_said() -> None:
    en, day = language("en"), date(2027, 6, 3)
    assert en.days(day, day) == "3 June 2027"
    assert en.days(day, None) == "from 3 June 2027, last day not fixed"
    assert en.days(None, None) == "days not fixed"


@pytest.mark.parametrize(
    ("code", "whole", "tenth"),
    [("en", "12,500", "2.5"), ("es", "12\u00a0500", "2,5"), ("fr", "12\u00a0500", "2,5"), ("pt", "12\u00a0500", "2,5")],
)
def test_numbers_are_written_as_the_language_does(code: str, whole: str, tenth: str) -> None:
    """Spaces between thousands outside English: ISO 80000-1, 7.3.1, and the Spanish and French orthographies."""
    assert language(code).number(12_500) == whole
    assert language(code).number(2.5, 1) == tenth
    assert language(code).number(1_500) == "1500"


def test_distances_turn_to_kilometres_at_ten() -> None:
    assert language("fr").distance(9_999.4) == "9999\u00a0m"
    assert language("fr").distance(12_345) == "12,3\u00a0km"
    assert language("en").distance(0.4) == "0\u00a0m"


def test_countries_have_the_name_of_the_language() -> None:
    """iso-codes, the translations of ISO 3166-1."""
    assert language("es").country("SE") == "Suecia"
    assert language("fr").country("DE") == "Allemagne"
    assert language("en").country("SE") == "Sweden"


def test_french_marks_stay_on_their_line() -> None:
    assert language("fr").pair("Terrain", "Couvert") == "Terrain\u00a0: Couvert"
    assert "\u00a0:" in language("fr")("remark")


def test_figures_of_cautions_have_a_source_and_a_day() -> None:
    """The limits that the brief of the register gives: 30 ml inside, 1 L outside, by a summary of A180 of 2007."""
    figures = caution_figures()
    assert figures["ethanol"]["figures"] == {"inner_ml": 30, "outer_l": 1, "percent": 70}
    assert "A180" in figures["ethanol"]["source"]
    assert "2007" in figures["ethanol"]["source"]
    assert figures["ethanol"]["basis"] == "summary"
    for told in figures.values():
        assert told["source"]
        assert isinstance(told["checked_on"], date)
        assert told["basis"] in ("published", "summary", "memory")


@pytest.mark.parametrize("code", CODES_OF_LANGUAGES)
def test_the_cautions_hold_the_figures_and_defer(code: str) -> None:
    title, text = language(code).caution("ethanol", **caution_figures()["ethanol"]["figures"])
    assert title
    for part in ("A180", "30 ml", "1 L", "70"):
        assert part in text
    assert language(code)("cautions_lead")
