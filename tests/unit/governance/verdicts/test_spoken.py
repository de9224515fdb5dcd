"""Days in the sentences of findings: said as the page says days, where they are days of the finding and nothing else.

Order and words of a day in Spanish: Real Academia Española, Ortografía (2010)."""

from __future__ import annotations

import pytest
from django.utils.translation import override

from governance.engine.explain import fill
from governance.verdicts.spoken import spoken, spoken_words


@pytest.mark.parametrize(
    ("made", "shown"),
    [
        ("Collected 2023-10-03, 3 days after the end date of COL-1.",
         "Collected 3 October 2023, 3 days after the end date of COL-1."),
        ("The run 2024-06-30/2024-07-02 crosses an end or a gap of COL-1: 1 of 3 days were inside.",
         "The run 30 June – 2 July 2024 crosses an end or a gap of COL-1: 1 of 3 days were inside."),
        ("The run 2024-06-01/2024-06-30 crosses an end or a gap of COL-1: 1 of 30 days were inside.",
         "The run 1–30 June 2024 crosses an end or a gap of COL-1: 1 of 30 days were inside."),
        ("The run 2024-12-31/2025-01-01 crosses an end or a gap of COL-1: 1 of 2 days were inside.",
         "The run 31 December 2024 – 1 January 2025 crosses an end or a gap of COL-1: 1 of 2 days were inside."),
        ("The day of export 2024-02-29 is in conflict with what else is recorded: the year is 2023.",
         "The day of export 29 February 2024 is in conflict with what else is recorded: the year is 2023."),
    ],
)  # fmt: skip
def test_a_whole_day_is_said(made: str, shown: str) -> None:
    assert spoken(made) == shown
    assert spoken(made, days_as_written=True) == made


@pytest.mark.parametrize(
    "made",
    [
        "Collected 2024-06, 3 days after the end date of COL-1.",  # a month is as it was written
        "Collected 2024-02-30, 3 days after the end date of COL-1.",  # no day of the calendar
        "Collected 2024-06-17T10:00, 3 days after the end date of COL-1.",
        "The collecting date 2024-06-17/2024-06-10 is not taken as it stands: it ends before it begins.",
        "Collected 17/06/2024, 3 days after the end date of COL-1.",
        'Collected "2024-06-17?", 3 days after the end date of COL-1.',  # doubtful, in the words of whoever doubted
        "Collected 3 October 2023, 3 days after the end date of COL-2024-06-17.",  # already said; and a name
        "COL-2024-06-17 covers it.",  # a number of a paper
        "COL-2024-06-17 is on file without its terms; enter a version to have it tested.",
        'The coordinates cannot be: "2024-06-17".',
        "None of the people recorded (team 2024-06-17) is named on COL-1.",
        "A sentence of somebody else of 2024-06-17.",
    ],
)
def test_everything_else_stays_as_it_is(made: str) -> None:
    assert spoken(made) == made


def test_a_sentence_that_two_templates_could_have_made_stays_as_it_is() -> None:
    made = "2024-06-17 is excluded by COL-1 covers it."
    assert spoken(made) == made


def test_a_name_beside_the_day_keeps_its_own() -> None:
    assert spoken("Collected 2024-06-17 while COL-2024-06-17 was suspended.") == (
        "Collected 17 June 2024 while COL-2024-06-17 was suspended."
    )


def test_in_another_language() -> None:
    with override("es"):
        said = spoken("Collected 2023-10-03, 3 days after the end date of COL-2023-10-03.")
        written = spoken("Collected 2023-10-03, 3 days after the end date of COL-1.", days_as_written=True)
    assert "3 de octubre de 2023" in said and "COL-2023-10-03" in said and "Collected" not in said
    assert "2023-10-03" in written and "octubre" not in written and "Collected" not in written


@pytest.mark.parametrize(("language", "day"), [("en", "17–18 June 2024"), ("es", "17–18 de junio de 2024")])
def test_words_that_were_left_open(language: str, day: str) -> None:
    """As most sentences are stored, so that many specimens share one."""
    made, words = "Collected {when}, 3 days after the end date of COL-1.", {"when": "2024-06-17/2024-06-18"}
    with override(language):
        assert day in fill(spoken(made), spoken_words(words))
        written = fill(spoken(made, days_as_written=True), spoken_words(words, days_as_written=True))
    assert "2024-06-17/2024-06-18" in written
