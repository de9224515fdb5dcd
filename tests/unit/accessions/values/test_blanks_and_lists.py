"""Blank cells and cells that hold lists."""

import pytest

from accessions.values import clean, is_blank, split_list, split_people

# The house list of blanks: contract of verdicts, section 8.
HOUSE_LIST = [
    "null", "NULL", "NA", "n/a", "none", "none specified", "unknown", "not recorded", "NO DISPONIBLE", "NO APLICA", "-",
]  # fmt: skip


@pytest.mark.parametrize("text", ["", " ", "\t\n", "\u00a0", *HOUSE_LIST, *(f"  {word} " for word in HOUSE_LIST)])
def test_house_list_and_white_space_are_blank(text: str) -> None:
    assert is_blank(text)


@pytest.mark.parametrize("text", ["0", "Null", "na", "N/A", "None", "no disponible", "--", "unknown?", "NA | NA"])
def test_the_list_is_exact(text: str) -> None:
    assert not is_blank(text)


def test_na_is_namibia_in_country_code_alone() -> None:
    assert not is_blank("NA", "countryCode")
    assert not is_blank(" NA ", "countryCode")
    assert is_blank("NA", "stateProvince")
    assert is_blank("null", "countryCode")


def test_clean_trims_the_ends_only() -> None:
    assert clean("  hand  net ") == "hand  net"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Oliver P. Pearson | Anita K. Pearson", ("Oliver P. Pearson", "Anita K. Pearson")),  # Darwin Core, recordedBy
        ("Lund, Vera|Berg, A. & Dal, C.", ("Lund, Vera", "Berg, A. & Dal, C.")),
        ("B | A | B", ("B", "A")),
        (" | | ", ()),
        ("unknown", ()),
        ("A | unknown | B", ("A", "unknown", "B")),
    ],
)
def test_people_are_parted_by_the_bar_alone(text: str, expected: tuple[str, ...]) -> None:
    assert split_people(text) == expected


def test_methods_keep_their_order() -> None:
    # Darwin Core, samplingProtocol
    assert split_list("ad hoc observation | point count") == ("ad hoc observation", "point count")


def test_a_giant_list_is_neither_blank_nor_one_of_its_entries() -> None:
    entries = split_list("hand net | " * 100_000)
    assert len(entries) == 1
    assert entries != ("hand net",)
