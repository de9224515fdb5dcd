"""The key of a name: the same equality by which the engine holds people of a record against people of a paper."""

from __future__ import annotations

import pytest

from accessions.people.name_keys import KEY_LENGTH, fold_name
from governance.engine.people import read_person

SAME = [
    ("Person, A. B.", "A.B. Person"),
    ("A. B. Person", "a b person"),
    ("Ek, Jonna", " jonna  EK "),
    ("van der Berg, Anna", "Anna van der Berg"),
    ("J\u00f6ns Ek", "Jo\u0308ns Ek"),  # one letter, or a letter and its mark (Unicode normal form C)
    ("Stra\u00dfer, K.", "K. STRASSER"),  # full case folding
]


@pytest.mark.parametrize(("one", "other"), SAME)
def test_one_name_in_two_forms(one: str, other: str) -> None:
    """VERDICTS, section 6: case, blanks, full stops and the order "Family, Given" do not count."""
    assert fold_name(one) == fold_name(other)


@pytest.mark.parametrize(
    ("one", "other"), [("J. Ek", "J. Eck"), ("J. Ek", "I. Ek"), ("Jöns Ek", "Jons Ek"), ("A-L. Ek", "AL Ek")]
)
def test_other_names(one: str, other: str) -> None:
    assert fold_name(one) != fold_name(other)


@pytest.mark.parametrize(
    "name", [name for pair in SAME for name in pair] + ["", " . ", ",", "Ek,", "Nazvri Directorate"]
)
def test_as_the_engine_reads_people(name: str) -> None:
    """An agent is found by every form that a paper would accept, and by no other."""
    assert fold_name(name) == read_person(name).whole


def test_key_fits_its_column() -> None:
    """Folding makes three letters of one here, so a name that fits could give a key that does not."""
    assert len(fold_name("\ufb03" * 200)) == KEY_LENGTH
