"""From a rule and what is known of its paper to the duties that follow."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Final

from governance.engine.duties.days import add_months, in_year, later
from governance.engine.duties.tables import (
    BY_CALENDAR,
    About,
    Because,
    Happening,
    Occurrence,
    PaperFacts,
    Rule,
    Span,
    Trip,
    When,
)

_FIRST_HALF: Final = 6
_DAY: Final = timedelta(1)


def occurrences(rule: Rule, facts: PaperFacts, *, since: date, until: date) -> list[Occurrence]:
    """The duties of one rule, by their day, those without a day last.

    Args:
        since, until: duties of the calendar are made for days from the first to the last; others whatever their day.

    A duty of the calendar is asked for if the time that it is about has a day on which paper and rule both stood. A
    paper whose start is not known is taken to stand since its issue, and without that since the first taking; without
    any it is taken to stand already. A paper whose end is not known stands.

    What is counted from a day is asked for if the rule stood on that day, whatever became of the rule after it; of the
    issue it is enough that the rule did not end before it, since an amendment may ask for what the issue did not.
    """
    found = list(_MAKERS[rule.when](rule, facts) if rule.when not in BY_CALENDAR else
                 _by_calendar(rule, facts, since, until))  # fmt: skip
    return sorted(found, key=lambda one: (one.due is None, one.due or date.max, one.key))


def _by_calendar(rule: Rule, facts: PaperFacts, since: date, until: date) -> Iterator[Occurrence]:
    stood = _stood(rule, facts)
    for year in _years(rule, since, until):
        for key, due, about in _in_one_year(rule, year):
            if since <= due <= until and _meets(about, stood) and (rule.if_nothing or _was_taken(facts, about)):
                because = _because(rule, due if rule.when == When.EACH_YEAR else about.last)
                yield Occurrence(key, due, because, counted_from=about.last, about=about, label=key)


def _years(rule: Rule, since: date, until: date) -> range:
    """The years in which a time may end whose duty falls due between two days: so much earlier as the rule counts."""
    earliest = later(since, -rule.number, rule.unit).year - 1
    return range(max(earliest, date.min.year + 1), min(until.year, date.max.year - 1) + 1)


def _in_one_year(rule: Rule, year: int) -> Iterator[tuple[str, date, Span]]:
    """Key, day and time of the duties of one year. Of quarters and half-years the year in which they end."""
    if rule.when == When.EACH_YEAR:
        due = in_year(rule.month_day, year)
        yield str(year), due, _about(rule, due)
        return
    months = 3 if rule.when == When.EACH_QUARTER else 6
    letter = "Q" if months == 3 else "H"
    for number in range(12 // months):
        first = date(year, number * months + 1, 1)
        last = add_months(first, months) - _DAY
        yield f"{year}-{letter}{number + 1}", later(last, rule.number, rule.unit), Span(first, last)


def _about(rule: Rule, due: date) -> Span:
    """The time that a yearly report is about."""
    is_before = rule.about == About.YEAR_BEFORE or (rule.about == About.BY_CUSTOM and due.month <= _FIRST_HALF)
    if is_before:
        return Span(date(due.year - 1, 1, 1), date(due.year - 1, 12, 31))
    return Span(in_year(rule.month_day, due.year - 1) + _DAY, due)


def _stood(rule: Rule, facts: PaperFacts) -> Span:
    """When paper and rule both stood; None: no bound."""
    taken = min((one.day for one in facts.taking if one.day), default=None)
    first = facts.stands.first or facts.issued or taken
    firsts = [day for day in (first, rule.from_day) if day is not None]
    lasts = [day for day in (facts.stands.last, rule.to_day) if day is not None]
    return Span(max(firsts, default=None), min(lasts, default=None))


def _meets(about: Span, stood: Span) -> bool:
    if stood.first and stood.last and stood.last < stood.first:
        return False
    is_after = stood.first is not None and about.last is not None and stood.first > about.last
    is_before = stood.last is not None and about.first is not None and stood.last < about.first
    return not is_after and not is_before


def _was_taken(facts: PaperFacts, about: Span) -> bool:
    """Whether something was taken in that time, or may have been."""
    return facts.taking_unknown or any(
        one.day is None or (about.first or date.min) <= one.day <= (about.last or date.max) for one in facts.taking
    )


def _because(rule: Rule, counted_from: date | None, **more: str) -> Because:
    told: dict[str, str | int] = dict(more)
    if rule.month_day:
        told["month_day"] = rule.month_day
    if rule.number:
        told |= {"number": rule.number, "unit": rule.unit.value}
    if counted_from is None:
        return Because("day-not-known", {"of": rule.when.value, **told})
    return Because(rule.when.value, {"day": counted_from.isoformat(), **told})


def _counted(
    rule: Rule, key: str, day: date | None, *, label: str = "", of: str = "", told_on: date | None = None
) -> Occurrence:
    """A duty that is counted from one day, or, of entry and leaving, back from it."""
    sign = -1 if rule.when in {When.BEFORE_ENTRY, When.BEFORE_LEAVING} else 1
    due = None if day is None else later(day, sign * rule.number, rule.unit)
    because = _because(rule, day, **({"label": label} if label else {}))
    return Occurrence(key, due, because, counted_from=day, of=of, label=label, told_on=told_on)


def _stands_on(rule: Rule, day: date | None) -> bool:
    """Whether the rule stood on the day from which it counts; of a day that is not known it is not excluded."""
    if day is None:
        return True
    return (rule.from_day is None or rule.from_day <= day) and (rule.to_day is None or day <= rule.to_day)


def _after_issue(rule: Rule, facts: PaperFacts) -> Iterator[Occurrence]:
    if rule.to_day is None or facts.issued is None or facts.issued <= rule.to_day:
        yield _counted(rule, "issue", facts.issued)


def _after_expiry(rule: Rule, facts: PaperFacts) -> Iterator[Occurrence]:
    if _stands_on(rule, facts.stands.last):
        yield _counted(rule, "expiry", facts.stands.last)


def _on_a_day(rule: Rule, facts: PaperFacts) -> Iterator[Occurrence]:
    yield Occurrence("once", rule.on, _because(rule, rule.on), counted_from=rule.on)


def _after_happenings(of: Callable[[PaperFacts], tuple[Happening, ...]]) -> Callable[..., Iterator[Occurrence]]:
    def made(rule: Rule, facts: PaperFacts) -> Iterator[Occurrence]:
        for one in of(facts):
            if _stands_on(rule, one.day) and (not rule.deeds or one.deed in rule.deeds):
                yield _counted(rule, one.key, one.day, label=one.label, of=one.key)

    return made


def _of_trips(day_of: Callable[[Trip], date | None], *, planned_only: bool) -> Callable[..., Iterator[Occurrence]]:
    """planned_only: what was to be done before a trip that is over is not asked for again, and the notice that is
    recorded with a plan fulfils it; what is owed after a trip is asked for, and of a plan it shows what will be."""

    def made(rule: Rule, facts: PaperFacts) -> Iterator[Occurrence]:
        for trip in facts.trips:
            day = day_of(trip)
            if _stands_on(rule, day) and (trip.is_planned or not planned_only):
                told_on = trip.told_on if planned_only else None
                yield _counted(rule, trip.key, day, label=trip.label, of=trip.key, told_on=told_on)

    return made


_MAKERS: Final[dict[When, Callable[[Rule, PaperFacts], Iterator[Occurrence]]]] = {
    When.AFTER_ISSUE: _after_issue,
    When.AFTER_EXPIRY: _after_expiry,
    When.ON_A_DAY: _on_a_day,
    When.AFTER_COLLECTION: _after_happenings(lambda facts: facts.taking),
    When.AFTER_PUBLICATION: _after_happenings(lambda facts: facts.publications),
    When.AFTER_USE: _after_happenings(lambda facts: facts.uses),
    When.AFTER_LAST_FIELD_DAY: _of_trips(lambda trip: trip.last, planned_only=False),
    When.BEFORE_ENTRY: _of_trips(lambda trip: trip.first, planned_only=True),
    When.BEFORE_LEAVING: _of_trips(lambda trip: trip.last, planned_only=False),
}
