"""Days on which duties fall due, worked out by hand.

The rules are those that papers are known to have: TRADE is the register's research notes on conditions of permits
(section 2.2, rows 22 and 35 to 38), which name the permit; the Australian report is that of the official form (due by
31 March each year). Days were counted by hand, as the last column says. What this cannot show: whether a person read
the paper rightly.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest

from governance.engine.duties import (
    About,
    Happening,
    PaperFacts,
    Rule,
    Span,
    Trip,
    Unit,
    When,
    add_months,
    in_year,
    later,
    occurrences,
)

FIRST, LAST = date(2024, 1, 1), date(2027, 12, 31)


WALKED = Trip("accession-1", "LMN", date(2024, 6, 3), date(2024, 6, 5))
"""A trip that is over."""


def on(text: str) -> date:
    return date.fromisoformat(text)


def taken(*days: str | None) -> tuple[Happening, ...]:
    return tuple(Happening(day or "not-known", day or "", on(day) if day else None) for day in days)


def stood(first: str | None, last: str | None, **facts: Any) -> PaperFacts:
    return PaperFacts(stands=Span(on(first) if first else None, on(last) if last else None), **facts)


SEASON = stood("2024-05-01", "2024-06-30", issued=on("2024-04-15"))


@dataclass(frozen=True)
class Case:
    """name; the rule; what is known; the days by hand; how they were counted."""

    name: str
    rule: Rule
    facts: PaperFacts
    days: tuple[str | None, ...]
    hand: str


def each_year(month_day: str, **more: Any) -> Rule:
    return Rule(When.EACH_YEAR, month_day=month_day, **more)


CASES = [
    Case("Wisconsin, 10 January", each_year("01-10"), SEASON, ("2025-01-10",), "row 35: about 2024, due in 2025"),
    Case("New Hampshire, 31 January", each_year("01-31"), SEASON, ("2025-01-31",), "row 35"),
    Case("two seasons", each_year("01-31"), stood("2024-05-01", "2025-08-31"), ("2025-01-31", "2026-01-31"), "row 35"),
    Case("Acadia and Australia, 31 March", each_year("03-31"), SEASON, ("2025-03-31",), "row 35; the official form"),
    Case("Oregon, 1 May", each_year("05-01"), SEASON, ("2025-05-01",), "row 35: 1 May 2024 would be about 2023"),
    Case("Virginia parks, 31 December", each_year("12-31"), SEASON, ("2024-12-31",), "row 35: the twelve months to it"),
    Case("1 August, a paper over it", each_year("08-01"), stood("2024-05-01", "2024-09-30"),
         ("2024-08-01", "2025-08-01"), "2 August 2024 to 1 August 2025 has August and September 2024"),
    Case("1 August, a paper before it", each_year("08-01"), SEASON, ("2024-08-01",), "all of it lies before 1 August"),
    Case("31 December by the year before", each_year("12-31", about=About.YEAR_BEFORE), SEASON, ("2025-12-31",),
         "the paper says: of the calendar year before"),
    Case("29 February", each_year("02-29"), stood("2023-01-01", "2024-12-31"), ("2024-02-29", "2025-02-28"),
         "2024 is a leap year (2024 = 4 x 506), 2025 is none"),
    Case("a start on 1 January", each_year("01-31"), stood("2025-01-01", "2025-12-31"), ("2026-01-31",),
         "the report of January 2025 is about 2024"),
    Case("a start on 31 December", each_year("01-31"), stood("2024-12-31", "2025-01-31"), ("2025-01-31", "2026-01-31"),
         "one day of 2024, one month of 2025"),
    Case("30 days after expiry, Navajo", Rule(When.AFTER_EXPIRY, number=30), SEASON, ("2024-07-30",),
         "row 36: 30 June + 30 = 30 July"),
    Case("30 days after 31 January", Rule(When.AFTER_EXPIRY, number=30), stood(None, "2024-01-31"), ("2024-03-01",),
         "29 days of February 2024, and one"),
    Case("30 days after 31 January, common year", Rule(When.AFTER_EXPIRY, number=30), stood(None, "2025-01-31"),
         ("2025-03-02",), "28 days of February 2025, and two"),
    Case("a month after 31 January", Rule(When.AFTER_EXPIRY, number=1, unit=Unit.MONTHS), stood(None, "2024-01-31"),
         ("2024-02-29",), "February has no 31st: its last day"),
    Case("a month after 31 January, common year", Rule(When.AFTER_EXPIRY, number=1, unit=Unit.MONTHS),
         stood(None, "2025-01-31"), ("2025-02-28",), "likewise"),
    Case("a month after 28 February", Rule(When.AFTER_EXPIRY, number=1, unit=Unit.MONTHS), stood(None, "2025-02-28"),
         ("2025-03-28",), "the same day, not the last of the month"),
    Case("no last day is known", Rule(When.AFTER_EXPIRY, number=30), stood("2024-05-01", None), (None,), "row 36"),
    Case("within one year of issue, Virginia areas", Rule(When.AFTER_ISSUE, number=1, unit=Unit.YEARS), SEASON,
         ("2025-04-15",), "row 36"),
    Case("one year after 29 February", Rule(When.AFTER_ISSUE, number=1, unit=Unit.YEARS),
         PaperFacts(issued=on("2024-02-29")), ("2025-02-28",), "2025 has no 29 February"),
    Case("four years after 29 February", Rule(When.AFTER_ISSUE, number=4, unit=Unit.YEARS),
         PaperFacts(issued=on("2024-02-29")), ("2028-02-29",), "2028 has one"),
    Case("day of issue not known", Rule(When.AFTER_ISSUE, number=1, unit=Unit.YEARS), PaperFacts(), (None,), "row 36"),
    Case("28 days after collection, NT", Rule(When.AFTER_COLLECTION, number=28),
         stood(None, None, taking=taken("2024-06-03", "2024-06-17", None)), ("2024-07-01", "2024-07-15", None),
         "row 36: 3 June + 27 = 30 June, and one; 17 June + 13 = 30 June, and 15"),
    Case("28 days after 1 February", Rule(When.AFTER_COLLECTION, number=28),
         stood(None, None, taking=taken("2024-02-01", "2025-02-01")), ("2024-02-29", "2025-03-01"), "29 and 28 days"),
    Case("28 days over the turn of the year", Rule(When.AFTER_COLLECTION, number=28),
         stood(None, None, taking=taken("2024-12-20")), ("2025-01-17",), "20 December + 11 = 31, and 17"),
    Case("quarterly, Kenya parks", Rule(When.EACH_QUARTER), SEASON, ("2024-06-30",), "row 36: one quarter"),
    Case("quarterly, a month later", Rule(When.EACH_QUARTER, number=1, unit=Unit.MONTHS),
         stood("2024-03-31", "2024-10-01"), ("2024-04-30", "2024-07-30", "2024-10-30", "2025-01-31"),
         "31 March + 1 month = 30 April; 30 June; 30 September; 31 December"),
    Case("quarterly, 30 days later", Rule(When.EACH_QUARTER, number=30), stood("2024-01-01", "2024-03-31"),
         ("2024-04-30",), "31 March + 30"),
    Case("twice a year, Costa Rica", Rule(When.TWICE_A_YEAR, number=15), stood("2024-06-30", "2024-07-01"),
         ("2024-07-15", "2025-01-15"), "row 36: one day of each half"),
    Case("a delay of more than a year", Rule(When.EACH_QUARTER, number=400), stood("2022-12-01", "2022-12-31"),
         ("2024-02-04",), "31 December 2022 + 365 = 31 December 2023, + 35 = 4 February"),
    Case("a week before entry, Virginia", Rule(When.BEFORE_ENTRY, number=7),
         PaperFacts(trips=(Trip("plan-1", "FP", on("2027-06-03"), on("2027-06-05"), is_planned=True),)),
         ("2027-05-27",), "row 22: 3 June - 3 = 31 May, - 4"),
    Case("30 days before 1 March", Rule(When.BEFORE_ENTRY, number=30),
         PaperFacts(trips=(Trip("plan-1", "FP", on("2024-03-01"), None, is_planned=True),)), ("2024-01-31",),
         "row 22: 1 March - 29 = 1 February 2024, - 1"),
    Case("a month before 31 March", Rule(When.BEFORE_ENTRY, number=1, unit=Unit.MONTHS),
         PaperFacts(trips=(Trip("plan-1", "FP", on("2025-03-31"), None, is_planned=True),)), ("2025-02-28",),
         "February has no 31st"),
    Case("entry of a trip that is over", Rule(When.BEFORE_ENTRY, number=7),
         PaperFacts(trips=(WALKED,)), (), "not asked for again"),
    Case("before leaving, Madagascar", Rule(When.BEFORE_LEAVING),
         PaperFacts(trips=(WALKED,)), ("2024-06-05",), "row 36"),
    Case("30 days after the last day in the field", Rule(When.AFTER_LAST_FIELD_DAY, number=30),
         PaperFacts(trips=(Trip("a", "A", None, on("2024-06-17")), Trip("b", "B", None, None))), ("2024-07-17", None),
         "17 June + 13 = 30 June, + 17"),
    Case("a copy of each publication", Rule(When.AFTER_PUBLICATION, number=60),
         stood(None, "2020-01-01", publications=taken("2026-03-01")), ("2026-04-30",),
         "row 38, no end date: 1 March + 30 = 31 March, + 30"),
    Case("once", Rule(When.ON_A_DAY, on=on("2026-12-01")), SEASON, ("2026-12-01",), "the day itself"),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_due_days(case: Case) -> None:
    found = occurrences(case.rule, case.facts, since=FIRST, until=LAST)
    assert [one.due for one in found] == [on(day) if day else None for day in case.days], case.hand


def test_time_that_a_report_is_about() -> None:
    """By custom the year before until June, later the twelve months up to the day; no day is left out or told twice,
    also around 29 February."""
    about = {day: _spans(each_year(day)) for day in ("01-31", "12-31", "08-01")}
    assert about["01-31"][0] == (on("2023-01-01"), on("2023-12-31"))
    assert about["12-31"][0] == (on("2024-01-01"), on("2024-12-31"))
    assert about["08-01"][0] == (on("2023-08-02"), on("2024-08-01"))
    leap = _spans(each_year("02-29", about=About.UP_TO_THE_DAY))
    assert leap[:2] == [(on("2023-03-01"), on("2024-02-29")), (on("2024-03-01"), on("2025-02-28"))]


def _spans(rule: Rule) -> list[tuple[date | None, date | None]]:
    found = occurrences(rule, PaperFacts(), since=FIRST, until=LAST)
    return [(one.about.first, one.about.last) for one in found if one.about]


def test_nil_return_is_a_duty_unless_the_paper_says_otherwise() -> None:
    """Wisconsin wants a report though nothing was done (TRADE 2.2, row 37). Where only takings are reported, a day that
    nobody knows may have been one."""
    facts = stood("2024-01-01", "2025-12-31", taking=taken("2024-06-17"))
    asked = each_year("01-31", if_nothing=False)
    assert _years(each_year("01-31"), facts) == [2025, 2026]
    assert _years(asked, facts) == [2025]
    assert _years(asked, stood("2024-01-01", "2025-12-31", taking_unknown=True)) == [2025, 2026]
    assert _years(asked, stood("2024-01-01", "2025-12-31")) == []


def _years(rule: Rule, facts: PaperFacts, since: date = FIRST) -> list[int]:
    return [one.due.year for one in occurrences(rule, facts, since=since, until=LAST) if one.due]


@pytest.mark.parametrize(
    ("facts", "years"),
    [
        (stood(None, "2024-12-31", issued=on("2024-04-15")), [2025]),  # stands since its issue
        (stood(None, "2024-12-31", taking=taken("2024-02-01", None)), [2025]),  # since the first taking that is known
        (stood(None, "2024-12-31"), [2024, 2025]),  # nobody knows: it may have stood in 2023
        (stood("2026-01-01", None), [2027]),  # no end is known: it stands
        (stood("2024-05-01", "2024-04-30"), []),  # revoked before it began
    ],
)
def test_a_paper_whose_days_are_not_all_known(facts: PaperFacts, years: list[int]) -> None:
    assert _years(each_year("01-31"), facts) == years


def test_a_rule_that_stood_only_a_while() -> None:
    """Asked for in 2025 alone, under a paper of 2024 to 2026: one report, by 31 January 2026; of takings those of its
    days; after expiry nothing, since the rule was gone; after issue nothing, since it ended before an issue of 2026."""
    facts = stood("2024-01-01", "2026-12-31", issued=on("2024-01-01"), taking=taken("2024-12-31", "2025-01-01",
                  "2025-12-31", "2026-01-01", None))  # fmt: skip
    while_: dict[str, Any] = {"from_day": on("2025-01-01"), "to_day": on("2025-12-31")}
    assert _years(each_year("01-31", **while_), facts) == [2026]
    counted = occurrences(Rule(When.AFTER_COLLECTION, **while_), facts, since=FIRST, until=LAST)
    assert [one.key for one in counted] == ["2025-01-01", "2025-12-31", "not-known"]
    assert occurrences(Rule(When.AFTER_EXPIRY, **while_), facts, since=FIRST, until=LAST) == []
    issue = Rule(When.AFTER_ISSUE, number=3, unit=Unit.YEARS, **while_)
    assert [one.due for one in occurrences(issue, facts, since=FIRST, until=LAST)] == [on("2027-01-01")]
    of_2026 = PaperFacts(issued=on("2026-01-01"))
    assert occurrences(issue, of_2026, since=FIRST, until=LAST) == []


def test_what_was_due_before_is_left_out_of_the_calendar_alone() -> None:
    """From 31 January 2025 on, that day counted; what is counted from a day is shown whatever its day."""
    facts = stood("2023-01-01", "2024-12-31")
    assert _years(each_year("01-31"), facts, since=on("2025-01-31")) == [2025]
    assert _years(each_year("01-31"), facts, since=on("2025-02-01")) == []
    assert _years(Rule(When.AFTER_EXPIRY, number=30), facts, since=on("2026-01-01")) == [2025]


def test_a_notice_that_was_given_fulfils_what_is_due_before_entry_alone() -> None:
    trip = Trip("plan-1", "FP", on("2027-06-03"), on("2027-06-05"), is_planned=True, told_on=on("2027-05-01"))
    told = {
        when: occurrences(Rule(when, number=7), PaperFacts(trips=(trip,)), since=FIRST, until=LAST)[0].told_on
        for when in (When.BEFORE_ENTRY, When.AFTER_LAST_FIELD_DAY, When.BEFORE_LEAVING)
    }
    assert told == {
        When.BEFORE_ENTRY: on("2027-05-01"), When.AFTER_LAST_FIELD_DAY: None, When.BEFORE_LEAVING: None,
    }  # fmt: skip


def test_a_duty_of_one_day_says_which() -> None:
    (one,) = occurrences(Rule(When.ON_A_DAY, on=on("2026-06-30")), PaperFacts(), since=FIRST, until=LAST)
    assert (one.because.code, dict(one.because.values)) == (When.ON_A_DAY.value, {"day": "2026-06-30"})


def test_only_the_uses_that_the_rule_names() -> None:
    uses = (Happening("use-1", "", on("2026-01-01"), "sequencing"), Happening("use-2", "", on("2026-01-02"), "loan"))
    some = Rule(When.AFTER_USE, deeds=frozenset({"sequencing"}))
    assert [one.of for one in occurrences(some, PaperFacts(uses=uses), since=FIRST, until=LAST)] == ["use-1"]
    every = Rule(When.AFTER_USE)
    assert [one.of for one in occurrences(every, PaperFacts(uses=uses), since=FIRST, until=LAST)] == ["use-1", "use-2"]


def test_reasons_say_from_which_day_and_how_far() -> None:
    after, unknown = occurrences(
        Rule(When.AFTER_COLLECTION, number=28), PaperFacts(taking=taken("2024-06-03", None)), since=FIRST, until=LAST
    )
    assert after.because.code == "after-collection"
    assert after.because.values == {"day": "2024-06-03", "label": "2024-06-03", "number": 28, "unit": "days"}
    assert unknown.because.code == "day-not-known"
    assert unknown.because.values == {"of": "after-collection", "number": 28, "unit": "days"}
    quarter = occurrences(Rule(When.EACH_QUARTER, number=30), SEASON, since=FIRST, until=LAST)[0]
    assert (quarter.because.values["day"], quarter.counted_from, quarter.label) == (
        "2024-06-30", on("2024-06-30"), "2024-Q2",
    )  # fmt: skip


def test_the_ends_of_the_calendar_are_no_fault() -> None:
    """Somebody may type the year 1 or 9999."""
    assert later(date.max, 1, Unit.DAYS) == later(date.max, 1, Unit.MONTHS) == date.max
    assert later(date.min, -1, Unit.DAYS) == add_months(date.min, -1) == date.min
    assert in_year("12-31", 9999) == date.max
    edges = occurrences(each_year("01-31"), stood("0001-01-01", "0003-12-31"), since=date.min, until=on("0005-01-01"))
    assert [one.key for one in edges] == ["2", "3", "4"]
    assert occurrences(Rule(When.EACH_QUARTER, number=1), stood("9999-01-01", None), since=on("9998-01-01"),
                       until=date.max) == []  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "keys"),
    [
        (Rule(When.AFTER_ISSUE, number=30), ["issue"]),
        (Rule(When.AFTER_EXPIRY, number=30), ["expiry"]),
        (Rule(When.ON_A_DAY, on=date(2025, 3, 1)), ["once"]),
        (each_year("01-31"), ["2025"]),
        (Rule(When.EACH_QUARTER, number=30), ["2024-Q2"]),
    ],
)
def test_a_duty_is_found_again_by_its_key(rule: Rule, keys: list[str]) -> None:
    """What a person said of a duty is kept under the key of its occurrence: another word would lose it."""
    assert [one.key for one in occurrences(rule, SEASON, since=FIRST, until=LAST)] == keys
