"""Rows under their terms: what the register could not store is said by row before anything asks a database."""

from __future__ import annotations

import pytest

from accessions.intake.grid import TextTable
from accessions.intake.guarding import guarded, unguarded
from accessions.intake.label_dates import date_columns, with_standard_dates
from accessions.intake.rows import FileRows, own_problems, rows_of


def table(**columns: list[str]) -> TextTable:
    count = len(next(iter(columns.values())))
    return TextTable("a.csv", columns=list(columns), data=list(columns.values()), row_numbers=range(2, count + 2))


def mapped(**columns: list[str]) -> FileRows:
    return rows_of(table(**columns), {header: header for header in columns})


@pytest.mark.parametrize("text", ["by the\0 lake", "half \ud800 a letter"])
def test_a_character_that_no_database_holds_is_an_error_of_its_row(text: str) -> None:
    (problem,) = own_problems(mapped(catalogNumber=["A-1", "A-2"], locality=["shore", text]))

    assert (problem.row, problem.term, problem.is_error) == (1, "locality", True)
    assert "cannot be stored" in problem.found


@pytest.mark.parametrize(
    ("term", "limit"),
    [("catalogNumber", 200), ("accessionNumber", 100), ("accessionPart", 10), ("unit", 50), ("identifiedBy", 300)],
)
def test_the_longest_text_passes_and_one_character_more_does_not(term: str, limit: int) -> None:
    """The limits are the widths of the columns in accessions/material/models/."""
    (problem,) = own_problems(mapped(**{term: ["x" * limit, "y" * (limit + 1)]}))

    assert (problem.row, problem.term) == (1, term)
    assert f"At most {limit} can be kept" in problem.expected


def test_texts_without_a_limit_of_their_own_may_be_long() -> None:
    assert own_problems(mapped(locality=["x" * 50_000])) == []


def test_a_number_three_times_names_the_other_rows() -> None:
    problems = own_problems(mapped(catalogNumber=["A", "B", "A", "A", ""]))

    assert [problem.row for problem in problems] == [0, 2, 3]
    assert problems[0].found == '"A" stands in rows 4, 5 too'


def test_what_is_not_kept_is_left_aside_and_blanks_are_blank() -> None:
    rows = rows_of(table(No=[" A-1 ", "n/a"], weather=["sun", "rain"]), {"No": "catalogNumber", "weather": ""})

    assert rows.columns == {"catalogNumber": ["A-1", ""]}
    assert rows.aside == ("weather",)
    assert rows.header_of == {"catalogNumber": "No"}


@pytest.mark.parametrize("text", ["=1+1", "@x", "+cmd", "-cmd", "'=x", "''", "'s Gravenland", "-84.08", "a", "", "\t="])
def test_a_guarded_cell_comes_back_as_it_was(text: str) -> None:
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", ["=1+1", "@x", "+cmd", "-cmd", "\t=x"])
def test_no_guarded_cell_begins_like_a_formula(text: str) -> None:
    assert guarded(text)[0] == "'"


def test_numbers_are_not_guarded() -> None:
    """A longitude in the west begins with a minus and must stay a number."""
    assert guarded("-84.08") == "-84.08"


def test_apostrophes_are_taken_off_only_in_a_file_that_was_given_back() -> None:
    columns = {"locality": ["'=x"], "to correct": ["why"]}

    assert mapped(**columns).columns["locality"] == ["=x"]
    assert mapped(locality=["'=x"]).columns["locality"] == ["'=x"]


def test_a_column_of_label_dates_says_how_many_rows_are_of_each_kind() -> None:
    rows = mapped(eventDate=["05/06/2019", "05/06/2019", "12.VI.2019", "2019-06-14", "", "summer"])

    (column,) = date_columns(rows)

    assert (column.plain_rows, column.open_rows, column.unread_rows) == (1, 2, 1)
    assert [(e.written, e.day_month, e.month_day, e.rows) for e in column.examples] == [
        ("05/06/2019", "2019-06-05", "2019-05-06", 2), ("12.VI.2019", "2019-06-12", "2019-06-12", 1),
    ]  # fmt: skip
    assert column.unread == ("summer",)


def test_a_column_of_standard_dates_is_not_asked_about() -> None:
    assert date_columns(mapped(eventDate=["2019-06-14", "2019-06", "", "../1950"])) == []


def test_a_verbatim_date_that_is_there_is_not_overwritten() -> None:
    rows = mapped(eventDate=["5/6/2019", "5/6/2019"], verbatimEventDate=["on the label: 5/6", ""])

    converted = with_standard_dates(rows, {"eventDate": "month-day"})

    assert converted.columns["eventDate"] == ["2019-05-06", "2019-05-06"]
    assert converted.columns["verbatimEventDate"] == ["on the label: 5/6", "5/6/2019"]


@pytest.mark.parametrize("answers", [{}, {"eventDate": "as-written"}])
def test_without_a_confirmation_dates_stay_as_written(answers: dict[str, str]) -> None:
    converted = with_standard_dates(mapped(eventDate=["12.VI.2019"]), answers)

    assert dict(converted.columns) == {"eventDate": ["12.VI.2019"]}
