"""What holds for every rule and all facts, whatever they are: laws, tried on made-up papers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from governance.engine.duties import (
    BY_CALENDAR,
    About,
    Happening,
    PaperFacts,
    Rule,
    Span,
    Trip,
    Unit,
    When,
    occurrences,
)

days = st.dates(date(2015, 1, 1), date(2030, 12, 31))
maybe = st.none() | days


@st.composite
def rules(draw: st.DrawFn) -> Rule:
    when = draw(st.sampled_from(When))
    parts: dict[str, Any] = {"number": draw(st.integers(0, 800)), "unit": draw(st.sampled_from(Unit))}
    if parts["unit"] != Unit.DAYS:
        parts["number"] %= 12
    if when == When.EACH_YEAR:
        parts = {"month_day": f"{draw(days):%m-%d}", "about": draw(st.sampled_from(About))}
    if when == When.ON_A_DAY:
        parts = {"on": draw(days)}
    return Rule(when, **parts, if_nothing=draw(st.booleans()), from_day=draw(maybe), to_day=draw(maybe))


def happenings(prefix: str) -> st.SearchStrategy[tuple[Happening, ...]]:
    return st.lists(maybe, max_size=4).map(
        lambda found: tuple(Happening(f"{prefix}-{n}", "", day, "loan") for n, day in enumerate(found))
    )


trips = st.lists(st.tuples(maybe, maybe, st.booleans()), max_size=3).map(
    lambda found: tuple(Trip(f"trip-{n}", "", first, last, planned) for n, (first, last, planned) in enumerate(found))
)
facts = st.builds(
    PaperFacts, issued=maybe, stands=st.builds(Span, maybe, maybe), taking=happenings("day"),
    taking_unknown=st.booleans(), trips=trips, publications=happenings("paper"), uses=happenings("use"),
)  # fmt: skip
SPAN: dict[str, Any] = {"since": date(2020, 1, 1), "until": date(2026, 12, 31)}


@given(rules(), facts)
def test_a_key_is_unique_within_its_rule(rule: Rule, known: PaperFacts) -> None:
    keys = [one.key for one in occurrences(rule, known, **SPAN)]
    assert len(keys) == len(set(keys))


@given(rules(), facts)
def test_a_day_is_known_or_said_not_to_be(rule: Rule, known: PaperFacts) -> None:
    for one in occurrences(rule, known, **SPAN):
        assert (one.due is None) == (one.because.code == "day-not-known")
        assert rule.when not in BY_CALENDAR or SPAN["since"] <= (one.due or date.min) <= SPAN["until"]


@given(rules(), facts, st.integers(0, 60))
def test_a_longer_number_never_falls_earlier(rule: Rule, known: PaperFacts, more: int) -> None:
    """After a day it falls later or on the same day; before entry and leaving the other way round."""
    if rule.when in {When.EACH_YEAR, When.ON_A_DAY}:
        return
    longer = replace(rule, number=rule.number + more)
    before = {one.key: one.due for one in occurrences(rule, known, **SPAN)}
    is_backwards = rule.when in {When.BEFORE_ENTRY, When.BEFORE_LEAVING}
    for one in occurrences(longer, known, **SPAN):
        was = before.get(one.key)
        if was is not None and one.due is not None:
            assert one.due <= was if is_backwards else one.due >= was


@given(rules(), facts, st.randoms(use_true_random=False))
def test_the_order_of_facts_does_not_matter(rule: Rule, known: PaperFacts, random: Any) -> None:
    def mixed(some: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(random.sample(some, len(some)))

    other = replace(
        known, taking=mixed(known.taking), trips=mixed(known.trips), publications=mixed(known.publications),
        uses=mixed(known.uses),
    )  # fmt: skip
    assert occurrences(rule, other, **SPAN) == occurrences(rule, known, **SPAN)


@given(rules(), facts, st.integers(0, 4))
def test_splitting_facts_changes_nothing(rule: Rule, known: PaperFacts, place: int) -> None:
    """Of what is counted from things that happened: those of both halves together are those of the whole. The days of
    the calendar likewise, of two spans that meet."""
    if rule.when in BY_CALENDAR:
        middle = date(2023, 6, 15)
        first = occurrences(rule, known, since=SPAN["since"], until=middle)
        rest = occurrences(rule, known, since=date(2023, 6, 16), until=SPAN["until"])
        assert [*first, *rest] == occurrences(rule, known, **SPAN)
        return
    if rule.when in {When.AFTER_ISSUE, When.AFTER_EXPIRY, When.ON_A_DAY}:
        return
    halves = [
        replace(known, taking=known.taking[part], trips=known.trips[part], publications=known.publications[part],
                uses=known.uses[part])
        for part in (slice(None, place), slice(place, None))
    ]  # fmt: skip
    found = {one.key for half in halves for one in occurrences(rule, half, **SPAN)}
    assert found == {one.key for one in occurrences(rule, known, **SPAN)}


@given(rules(), facts)
def test_a_paper_that_stands_longer_asks_for_no_less(rule: Rule, known: PaperFacts) -> None:
    """Of the calendar: whatever is asked for stays asked for if the paper stands without an end."""
    if rule.when not in BY_CALENDAR:
        return
    longer = replace(known, stands=Span(known.stands.first, None))
    asked = {one.key for one in occurrences(rule, known, **SPAN)}
    assert asked <= {one.key for one in occurrences(rule, longer, **SPAN)}
