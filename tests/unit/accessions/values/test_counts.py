"""Counts. Expected values: contract of verdicts, section 6, "Numbers": other text is 1 to no bound."""

import pytest

from accessions.values import read_count


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("300-500", 300, 500),
        ("300–500", 300, 500),
        ("300 - 500", 300, 500),
        ("300 to 500", 300, 500),
        ("ca. 400", 1, None),
        ("c. 400", 1, None),
        ("~400", 1, None),
        ("ca. 10", 1, None),
        ("7", 7, 7),
        ("5-5", 5, 5),
        ("0-3", 0, 3),
    ],
)
def test_ranges(text: str, low: int, high: int) -> None:
    read = read_count(count_range=text)
    assert (read.low, read.high, read.assumed) == (low, high, False)


@pytest.mark.parametrize(("text", "expected"), [("0", 0), ("1", 1), ("25", 25), (" 12 ", 12), ("12.0", 12)])
def test_whole_numbers(text: str, expected: int) -> None:
    read = read_count(individual_count=text)
    assert (read.low, read.high, read.assumed) == (expected, expected, False)


@pytest.mark.parametrize("text", ["many", "1,200", "-3", "3.5", "1e3", "300-500", ">100", "٣", "10000000000", "9" * 50])
def test_other_text_has_no_upper_bound(text: str) -> None:
    read = read_count(individual_count=text)
    assert (read.low, read.high, read.assumed) == (1, None, False)
    assert read.hint


def test_the_largest_count_is_still_a_number() -> None:
    assert read_count("1000000000").high == 10**9
    assert read_count("1000000001").high is None


def test_a_reversed_range_has_no_upper_bound_and_says_why() -> None:
    read = read_count(count_range="500-300")
    assert (read.low, read.high) == (1, None)
    assert "500" in read.hint and "300" in read.hint


def test_the_range_wins_over_the_count() -> None:
    assert read_count(individual_count="7", count_range="10-20").low == 10
    assert read_count(individual_count="7", count_range="some").high is None


def test_a_blank_count_is_one_and_assumed() -> None:
    assert read_count() == read_count(individual_count="unknown", count_range=" ")
    read = read_count(unit="specimen", basis_of_record="PreservedSpecimen")
    assert (read.low, read.high, read.assumed) == (1, 1, True)


@pytest.mark.parametrize(
    "filled",
    [{"unit": "lot"}, {"unit": "Bulk"}, {"basis_of_record": "MaterialSample"}, {"organism_quantity": "12.5"}],
)
def test_a_blank_count_of_uncounted_material_has_no_upper_bound(filled: dict[str, str]) -> None:
    read = read_count(**filled)
    assert (read.low, read.high) == (1, None)


def test_a_counted_lot_keeps_its_count() -> None:
    assert read_count("12", unit="lot").high == 12
