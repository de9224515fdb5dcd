"""Conditions that ask for notice or for a yearly report: read from files and from what people type.

Notice a week before entry (Virginia natural areas) and yearly reports by a fixed day, such as 31 January (New
Hampshire; England CL23): conditions of published permits.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from accessions.intake.problems import FileProblems
from governance.papers.columns import version_columns
from governance.papers.exchange import papers_from_value
from governance.papers.forms import lines
from governance.papers.models import Condition
from governance.papers.queries.differences import differences
from governance.papers.readings import asks_words


def paper(**asks: Any) -> dict[str, Any]:
    return {
        "reference": "RES-1", "kind": "research-permit", "layers": ["collecting"],
        "versions": [{"in_force_from": "2026-01-01", "conditions": [{"text": "As said.", **asks}]}],
    }  # fmt: skip


def problems(**asks: Any) -> str:
    with pytest.raises(FileProblems) as refused:
        papers_from_value({"papers": [paper(**asks)]}, "papers.json")
    (problem,) = refused.value.problems
    assert "conditions[0]" in problem.where
    assert "RES-1" in problem.where
    return f"{problem.where}: {problem.found}. {problem.expected}"


@pytest.mark.parametrize(
    "asks", [{"notice_days": 0}, {"notice_days": 3650}, {"report_by": "02-29"}, {"report_by": None}]
)
def test_what_may_be_asked(asks: dict[str, Any]) -> None:
    """29 February is a day of some years; notice on the day itself is notice."""
    assert papers_from_value({"papers": [paper(**asks)]}, "papers.json").papers[0].reference == "RES-1"


@pytest.mark.parametrize("day", ["02-30", "13-01", "00-10", "04-31"])
def test_a_day_that_no_year_has_is_refused(day: str) -> None:
    told = problems(report_by=day)
    assert f'"{day}" is no day of the year' in told
    assert "MM-DD" in told


@pytest.mark.parametrize("day", ["31-01", "1-31", "31 January", "2026-01-31"])
def test_a_day_written_otherwise_is_refused(day: str) -> None:
    assert day in problems(report_by=day)


@pytest.mark.parametrize("days", [-1, 3651, 7.5, "7"])
def test_days_of_notice_that_cannot_be(days: object) -> None:
    assert "notice_days" in problems(notice_days=days)


def test_they_are_laid_out_as_columns() -> None:
    (version,) = version_columns(paper(notice_days=7, report_by="01-31"))
    (row,) = version.terms[Condition]
    assert (row["notice_days"], row["report_by"]) == (7, "01-31")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("Tell the warden. [notice 7 days]", {"text": "Tell the warden.", "notice_days": 7}),
        ("p. 2: Tell the warden. [Notice 1 day]", {"text": "Tell the warden.", "page": 2, "notice_days": 1}),
        ("A list. [report by 29 February]", {"text": "A list.", "report_by": "02-29"}),
        ("A list. [report by 01-31]", {"text": "A list.", "report_by": "01-31"}),
        ("Both. [notice 30 days] [report by 1 May]", {"text": "Both.", "notice_days": 30, "report_by": "05-01"}),
        ("The forms [see annex]", {"text": "The forms [see annex]"}),
        ("Give notice [in writing]", {"text": "Give notice [in writing]"}),
    ],
)
def test_typed_behind_a_condition(typed: str, read: dict[str, Any]) -> None:
    assert lines.read_conditions(typed) == [read]
    assert lines.read_conditions(lines.conditions_text([read])) == [read]


@pytest.mark.parametrize(
    "typed",
    [
        "A list. [report by 30 February]", "A list. [report by 31-01]", "Tell them. [notice -3 days]",
        "Tell them. [notice 3651 days]", "Tell them. [notice 7 weeks]", "Tell them. [notice 7] [notice 8]",
        "[notice 7 days]",
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_quoted_with_its_line(typed: str) -> None:
    with pytest.raises(ValidationError, match=r"Line 2, “.*31 January"):
        lines.read_conditions(f"Large mussels are to be returned.\n{typed}")


def test_a_long_line_of_blanks_and_brackets_is_read_at_once() -> None:
    typed = "a" + " " * 50_000 + "[" * 50_000
    assert lines.read_conditions(typed)[0]["text"].startswith("a")


def test_differences_between_versions_name_what_is_asked() -> None:
    (found,) = differences(paper(notice_days=7), paper(notice_days=14, report_by="01-31"))
    assert "[notice, days: 7]" in found.before
    assert "[notice, days: 14]" in found.after
    assert "[report by 01-31]" in found.after


@pytest.mark.parametrize(
    ("asks", "words"),
    [
        ({"notice_days": 7}, ["Notice 7 days before the first day"]),
        ({"notice_days": 1}, ["Notice 1 day before the first day"]),
        ({"report_by": "01-31"}, ["A report each year by 31 January"]),
        ({"notice_days": 0, "report_by": "02-29"},
         ["Notice by the first day", "A report each year by 29 February"]),
        ({}, []),
    ],
)  # fmt: skip
def test_in_words(asks: dict[str, Any], words: list[str]) -> None:
    assert asks_words(Condition(text="As said.", **asks)) == words
