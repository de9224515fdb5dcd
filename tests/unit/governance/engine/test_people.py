"""The people recorded against the people named. Rules: VERDICTS, section 6; record 1 on initials and particles."""

from __future__ import annotations

import pytest

from tests.unit.governance.engine.judging import of


@pytest.mark.parametrize(
    "written",
    ["Anna Berg", "Berg, Anna", "ANNA BERG", "anna  berg", "Anna. Berg", " Anna Berg ", "Berg,Anna"],
)
def test_equal_names(written: str) -> None:
    """Case, spaces, full stops and the order with a comma are folded away."""
    assert of({"people": [written]}, people=["Anna Berg"]) == ("covered",)


@pytest.mark.parametrize(
    ("written", "named"),
    [
        ("A. B. Berg", "Berg, A.B."),
        ("AB Berg", "A. B. Berg"),
        ("J. van der Meer", "van der Meer, J."),
        ("Åsa Öst", "Öst, Åsa"),
    ],
)
def test_initials_and_particles_of_equal_names(written: str, named: str) -> None:
    assert of({"people": [written]}, people=[named]) == ("covered",)


def test_letters_written_in_two_ways_are_one() -> None:
    """A letter with its ring, or the letter and a combining ring (Unicode, canonical equivalence)."""
    assert of({"people": ["A\u030asa Berg"]}, people=["\u00c5sa Berg"]) == ("covered",)


@pytest.mark.parametrize("written", ["A. Berg", "Berg", "Berg, A. M.", "Anna Maria Berg"])
def test_initials_that_fit_may_be_the_person(written: str) -> None:
    assert of({"people": [written]}, people=["Anna Berg"]) == ("cannot-tell", "person-maybe")


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("A. L. Berg", ("cannot-tell", "person-maybe")),
        ("A. Berg", ("cannot-tell", "person-maybe")),
        ("A. M. Berg", ("outside", "person")),
    ],
)
def test_a_name_with_a_hyphen_has_two_initials(written: str, expected: tuple[str, ...]) -> None:
    assert of({"people": [written]}, people=["Anna-Lena Berg"]) == expected


@pytest.mark.parametrize("written", ["B. Berg", "Bertil Berg", "Anna Lund", "Anna"])
def test_others_are_others(written: str) -> None:
    assert of({"people": [written]}, people=["Anna Berg"]) == ("outside", "person")


@pytest.mark.parametrize(
    ("assistants", "expected"),
    [
        ("allowed", ("covered",)),
        ("supervised", ("covered", "supervision-not-evidenced")),
        ("not-allowed", ("cannot-tell", "person-mixed")),
    ],
)
def test_assistants(assistants: str, expected: tuple[str, ...]) -> None:
    people = ["Anna Berg", "Bo Lund"]
    assert of({"people": people}, people=["Anna Berg"], assistants=assistants) == expected
    assert of({"people": people[::-1]}, people=["Anna Berg"], assistants=assistants) == expected
    assert of({"people": people[1:]}, people=["Anna Berg"], assistants=assistants) == ("outside", "person")


def test_nobody_recorded() -> None:
    assert of({"people": ""}, people=["Anna Berg"]) == ("cannot-tell", "person-missing")


def test_paper_that_names_nobody_sets_no_limit() -> None:
    assert of({"people": ["Anna Berg"]}) == ("covered",)
    assert of({"people": ""}, holder="Anna Berg") == ("covered",)


def test_holder_counts_as_named() -> None:
    assert of({"people": ["Bo Lund"]}, people=["Anna Berg"], holder="Lund, Bo") == ("covered",)


def test_several_who_may_be_named() -> None:
    assert of({"people": ["Bo Lund", "A. Berg"]}, people=["Anna Berg"]) == ("cannot-tell", "person-maybe")
    assert of({"people": ["Anna Berg", "B. Lund"]}, people=["Anna Berg", "Bo Lund"]) == ("cannot-tell", "person-maybe")
