"""The words of the sheet: every language says the same with the same blanks, and knows every word of the desk."""

from __future__ import annotations

import string
from collections.abc import Iterator
from typing import Any

import pytest

from governance.engine.uses import ELSEWHERE, RecipientKind, Use
from governance.usedesk.sheet.language import LANGUAGES, counted, language, language_for

CODES = list(LANGUAGES)


def phrases(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every phrase of a file with its path."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from phrases(inner, f"{path}/{key}")
    else:
        yield path, str(value)


def blanks(phrase: str) -> set[str]:
    return {name for _text, name, _spec, _conversion in string.Formatter().parse(phrase) if name}


@pytest.mark.parametrize("code", [code for code in CODES if code != "en"])
def test_a_language_has_the_keys_and_blanks_of_english(code: str) -> None:
    english, other = dict(phrases(language("en").groups)), dict(phrases(language(code).groups))
    assert set(other) == set(english)
    assert {path: blanks(phrase) for path, phrase in other.items() if blanks(phrase) != blanks(english[path])} == {}
    assert [path for path, phrase in other.items() if not phrase] == []


@pytest.mark.parametrize("code", CODES)
def test_every_word_of_the_desk_has_a_word_on_the_sheet(code: str) -> None:
    groups = language(code).groups
    assert set(groups["uses"]) == {use.code for use in Use}
    assert set(groups["recipients"]) == {kind.code for kind in RecipientKind}
    assert set(groups["ownership"]) == {one.code for one in ELSEWHERE}


def test_one_is_no_plural() -> None:
    en = language("en")
    assert counted(en, "group_title", 1, letter="B") == "Group B: 1 specimen"
    assert counted(en, "group_title", 12_500, letter="A") == "Group A: 12,500 specimens"


@pytest.mark.parametrize(
    ("country", "code"), [("MX", "es"), ("SN", "fr"), ("BR", "pt"), ("SE", "en"), ("CH", "en"), ("", "en")]
)
def test_the_first_offer_is_by_country(country: str, code: str) -> None:
    """Official languages, from memory; where there are several, English."""
    assert language_for(country) == code
