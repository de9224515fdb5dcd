"""Countries written by name. Names and codes of ISO 3166-1, from memory."""

from __future__ import annotations

import pytest

from accessions.intake.country_names import code_of_name, with_country_codes
from accessions.intake.label_dates import date_columns
from accessions.intake.rows import FileRows


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Sweden", "SE"), (" costa  rica ", "CR"), ("Türkiye", "TR"), ("Tanzania", "TZ"),
        ("SE", ""), ("Swed", ""), ("Congo Basin", ""), ("", ""), ("Korea", ""),
    ],
)  # fmt: skip
def test_the_whole_name_and_no_other(text: str, code: str) -> None:
    """A code stays a code; "Korea" is the name of none of the two."""
    assert code_of_name(text) == code


def test_names_are_put_as_codes_and_told() -> None:
    rows = FileRows("a.csv", "", {"countryCode": ["Sweden", "SE", "Atlantis", ""]}, [2, 3, 4, 5])
    read = with_country_codes(rows)
    assert read.columns["countryCode"] == ["SE", "SE", "Atlantis", ""]
    assert read.country_names == (("Sweden", "SE"),)
    assert with_country_codes(read) is read, "nothing more to read"


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (["28.7.2025", "4.9.2025"], (1, 0)),
        (["7/28/2025", "4/9/2025"], (0, 1)),
        (["28.7.2025", "7/28/2025", "4.9.2025"], (1, 1)),
        (["4.9.2025", "5.5.2025"], (0, 0)),
    ],
)
def test_which_order_the_dates_of_a_column_tell(texts: list[str], told: tuple[int, int]) -> None:
    """No month has the number 28."""
    (column,) = date_columns(FileRows("a.csv", "", {"eventDate": texts}, list(range(len(texts)))))
    assert (column.day_first_rows, column.month_first_rows) == told
