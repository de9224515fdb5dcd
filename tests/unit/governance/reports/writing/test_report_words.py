"""The words of reports: every language says the same with the same blanks, and names all that a report can hold."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from governance.reports.composing.codes import CODES
from governance.reports.composing.facts import FACTS
from governance.reports.composing.figures import FIGURES
from governance.reports.composing.notes import NOTES
from governance.reports.models import ReportKind, ReportLanguage
from governance.reports.tables import COLUMNS, PARTS, TEXTS
from governance.reports.writing.cells import MOST_OF_NAME
from governance.reports.writing.language import STEMS, languages, words_of
from governance.reports.writing.shown_columns import BLANK, SHOWN

COMPOSING = Path(__file__).parents[5] / "governance/reports/composing"
OTHERS = [code for code in languages() if code != "en"]
PER = ("paper", "year", "site", "event")


def phrases(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every phrase of a file with its path."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from phrases(inner, f"{path}/{key}")
    elif isinstance(value, list):
        yield path, "|".join(["x"] * len(value))
    else:
        yield path, str(value)


def blanks(phrase: str) -> set[str]:
    return {name for _text, name, _spec, _conversion in string.Formatter().parse(phrase) if name}


def test_there_is_a_file_for_each_language_of_a_report() -> None:
    assert languages() == sorted(ReportLanguage.values)


@pytest.mark.parametrize("code", OTHERS)
def test_a_language_has_the_keys_and_blanks_of_english(code: str) -> None:
    english, other = dict(phrases(words_of("en").groups)), dict(phrases(words_of(code).groups))
    assert set(other) == set(english)
    assert {path: phrase for path, phrase in other.items() if blanks(phrase) != blanks(english[path])} == {}
    assert [path for path, phrase in other.items() if not phrase and english[path]] == []


def test_months_are_twelve() -> None:
    assert {code: len(words_of(code).groups["months_short"]) for code in languages()} == dict.fromkeys(languages(), 12)


@pytest.mark.parametrize("code", languages())
def test_tables_columns_parts_texts_and_kinds_are_named(code: str) -> None:
    groups = words_of(code).groups
    assert set(groups["tables"]) == set(COLUMNS)
    assert {column.key for columns in COLUMNS.values() for column in columns} <= set(groups["columns"])
    assert {part for parts in PARTS.values() for part in parts} <= set(groups["parts"])
    assert {text for texts in TEXTS.values() for text in texts} == set(groups["texts"])
    assert set(groups["titles"]) == set(groups["report_kinds"]) == set(ReportKind.values)


@pytest.mark.parametrize("code", languages())
def test_every_code_of_a_column_is_named(code: str) -> None:
    words = words_of(code)
    missing = [
        (group, one) for group, codes in CODES.items() for one in codes
        if one not in words.groups["kinds" if group == "paper_kinds" else group]
    ]  # fmt: skip
    assert missing == []
    used = {column.words for columns in COLUMNS.values() for column in columns if column.words}
    assert used <= set(CODES)


@pytest.mark.parametrize("code", languages())
def test_every_figure_fact_and_note_is_named(code: str) -> None:
    """Those that composing lists, and every key that stands in its modules."""
    groups = words_of(code).groups
    stems = {f"{stem}_{one}" for stem, group in STEMS.items() for one in groups[group]}
    assert set(FIGURES) | keys_in("figure") <= set(groups["figures"]) | stems
    assert set(FACTS) | keys_in("Fact") <= set(groups["facts"])
    caps = {f"cap_{per}{each}" for per in PER for each in ("", "_each")}
    assert set(NOTES) | keys_in("Note") | caps <= set(groups["notes"])


def keys_in(call: str) -> set[str]:
    """Keys that stand in words in the modules of composing."""
    text = "\n".join(module.read_text("utf-8") for module in COMPOSING.glob("*.py"))
    found = set(re.findall(rf'\b{call}\("([a-z_]+)"', text))
    assert len(found) > 3, f"no {call}(...) was found in {COMPOSING}"
    return found


@pytest.mark.parametrize("code", languages())
def test_sheets_have_names_that_workbooks_allow(code: str) -> None:
    """31 characters, none of [ ] : * ? / \\, no apostrophe at either end, different without case (from memory of what
    programs refuse)."""
    words = words_of(code)
    names = [words("read_me"), *words.groups["tables"].values()]
    assert [name for name in names if len(name) > MOST_OF_NAME or re.search(r"[\[\]:*?/\\]|^'|'$", name)] == []
    assert len({name.casefold() for name in names}) == len(names)


def test_shown_columns_are_columns_of_their_tables() -> None:
    """Every table but that of single specimens of uses, which only the workbook has."""
    assert set(COLUMNS) - set(SHOWN) == {"used"}
    for key, shown in SHOWN.items():
        assert {one for column in shown for one in column.keys} <= {column.key for column in COLUMNS[key]}, key
    assert set(BLANK.values()) <= set(words_of("en").groups["words"])


def test_one_is_no_plural_and_numbers_are_of_the_language() -> None:
    assert words_of("en")("more_rows", n=1, sheet="Uses") == "1 more row is in the workbook, sheet “Uses”."
    assert words_of("fr")("more_rows", n=12_500, sheet="Usages").startswith("12\u00a0500 lignes")


@pytest.mark.parametrize(
    ("code", "iso", "text"),
    [
        ("en", "2024-06-17", "17 Jun 2024"), ("fr", "2024-08-01", "1er août 2024"), ("es", "2024-12-03", "3 dic 2024"),
        ("pt", "2024-05-01", "1º maio 2024"), ("en", "2024-06", "2024-06"),
    ],
)  # fmt: skip
def test_days_of_tables(code: str, iso: str, text: str) -> None:
    assert words_of(code).short_day(iso) == text.replace(" ", "\u00a0")


@pytest.mark.parametrize(
    ("code", "first", "last", "text"),
    [
        ("en", "2024-05-01", "2024-05-31", "May 2024"), ("fr", "2024-02-01", "2024-02-29", "févr. 2024"),
        ("es", "2023-01-01", "2024-12-31", "2023 a 2024"), ("pt", "2024-05-01", "2024-05-01", "1º maio 2024"),
        ("en", "2024-05-01", "2024-06-30", "May 2024 to Jun 2024"), ("en", "2024-05-02", "2024-05-31",
         "2 May 2024 to 31 May 2024"), ("en", None, "2024-05-31", "until 31 May 2024"), ("en", None, None, ""),
    ],
)  # fmt: skip
def test_of_whole_months_and_years_no_day_is_said(code: str, first: str | None, last: str | None, text: str) -> None:
    assert words_of(code).taken_span(first, last).replace("\u00a0", " ") == text


@pytest.mark.parametrize("code", languages())
def test_one_word_for_what_is_late(code: str) -> None:
    groups = words_of(code).groups
    assert groups["promise_states"]["overdue"] == groups["duty_states"]["late"]


@pytest.mark.parametrize(
    ("code", "value", "text"),
    [("en", "1200.50", "1200.50"), ("es", "12000.5", "12\u00a0000,5"), ("pt", "3", "3"), ("en", "many", "many")],
)
def test_amounts_keep_their_decimals(code: str, value: str, text: str) -> None:
    assert words_of(code).amount(value) == text


def test_a_key_without_words_is_told_as_it_stands() -> None:
    """A report that was issued before the words changed stays legible."""
    told = "".join(text for text, _name in words_of("en").pieces("notes", "no_longer_here", {"n": 3}))
    assert told == "no longer here (n: 3)"
