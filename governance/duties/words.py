"""Duties in words: why one falls due on its day, how many days are left or over, and how it stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from governance.engine.duties import State, When, in_year

STATES: Final[Mapping[State, Any]] = {
    State.LATE: gettext_lazy("Late"),
    State.DUE: gettext_lazy("Due"),
    State.COMING: gettext_lazy("Coming"),
    State.DAY_NOT_KNOWN: gettext_lazy("Day not known"),
    State.DONE: pgettext_lazy("duty", "Done"),
    State.ACCEPTED: gettext_lazy("Accepted"),
    State.WAIVED: gettext_lazy("Waived"),
    State.NO_LONGER_ASKED: gettext_lazy("No longer asked for"),
}
"""How a duty stands, in the order in which pages show it: what presses most comes first."""

OPEN_STATES: Final = (State.LATE, State.DUE, State.COMING, State.DAY_NOT_KNOWN)

_MOMENTS: Final[Mapping[When, Any]] = {
    When.AFTER_ISSUE: gettext_lazy("the day of issue"),
    When.AFTER_EXPIRY: gettext_lazy("the last day of validity"),
    When.AFTER_COLLECTION: gettext_lazy("the day of collecting"),
    When.AFTER_LAST_FIELD_DAY: gettext_lazy("the last day in the field"),
    When.AFTER_PUBLICATION: gettext_lazy("the publication"),
    When.AFTER_USE: gettext_lazy("the use"),
    When.BEFORE_ENTRY: gettext_lazy("the first day in the field"),
    When.BEFORE_LEAVING: gettext_lazy("the day of leaving"),
    When.EACH_YEAR: gettext_lazy("the day of each year"),
    When.TWICE_A_YEAR: gettext_lazy("the end of the half-year"),
    When.EACH_QUARTER: gettext_lazy("the end of the quarter"),
    When.ON_A_DAY: gettext_lazy("the day that is named"),
}
"""What a duty is counted from."""

_BACKWARDS: Final = frozenset({When.BEFORE_ENTRY, When.BEFORE_LEAVING})
_LONGEST_LABEL: Final = 120


def because_words(because: Mapping[str, Any]) -> str:
    """Why a duty falls due on its day, as one sentence. because: code and values of ``engine.duties.Because``."""
    code, values = str(because.get("code", "")), because.get("values") or {}
    if code == "day-not-known":
        return _not_known(values)
    when = _when(code)
    if when is None:
        return _("Why it falls due on this day is not recorded.")
    return _CALENDAR.get(when, _counted)(when, values)


def _when(code: str) -> When | None:
    return When(code) if code in set(When) else None


def _not_known(values: Mapping[str, Any]) -> str:
    when = _when(str(values.get("of", "")))
    if when is None:
        return _("The day from which it is counted is not known here.")
    words = _("%(length)s, which is not known here.") if "number" in values else _("%(length)s is not known here.")
    told = _length(when, values) if "number" in values else str(_MOMENTS[when])
    return _labelled(_capital(words % {"length": told}), values)


def _counted(when: When, values: Mapping[str, Any]) -> str:
    """ "30 days after the last day of validity, 31 August 2026." """
    told = {"length": _length(when, values), "day": _day(values)}
    return _labelled(_capital(_("%(length)s, %(day)s.") % told), values)


def _length(when: When, values: Mapping[str, Any]) -> str:
    """ "30 days after the last day of validity"; without a number the moment itself is the day."""
    number, unit = int(values.get("number", 0) or 0), str(values.get("unit", "days"))
    moment = {"moment": _MOMENTS[when]}
    if not number:
        return (_("before %(moment)s") if when in _BACKWARDS else _("on %(moment)s")) % moment
    words = _("%(span)s before %(moment)s") if when in _BACKWARDS else _("%(span)s after %(moment)s")
    return words % (moment | {"span": span_words(number, unit)})


def span_words(number: int, unit: str) -> str:
    """ "30 days", "1 month"."""
    if unit == "months":
        return ngettext("%(n)d month", "%(n)d months", number) % {"n": number}
    if unit == "years":
        return ngettext("%(n)d year", "%(n)d years", number) % {"n": number}
    return ngettext("%(n)d day", "%(n)d days", number) % {"n": number}


def rule_words(when: str, *, number: int, unit: str, month_day: str = "", on: date | None = None) -> str:
    """When a rule falls due, as one sentence: "30 days after the last day of validity." """
    one, values = When(when), {"number": number, "unit": unit, "month_day": month_day}
    if one == When.ON_A_DAY:
        return _once(one, {"day": on.isoformat() if on else ""})
    if one == When.EACH_YEAR:
        return _each_year(one, values)
    if one not in _PARTS:
        return f"{_capital(_length(one, values))}."
    if not number:
        return _each_part(one, values)
    return _("%(span)s after the end of %(part)s.") % {"span": span_words(number, unit), "part": _PARTS[one]}


_PARTS: Final[Mapping[When, Any]] = {
    When.EACH_QUARTER: gettext_lazy("each quarter"), When.TWICE_A_YEAR: gettext_lazy("each half-year"),
}  # fmt: skip


def _each_year(_when: When, values: Mapping[str, Any]) -> str:
    month_day = str(values.get("month_day", ""))
    return _("Each year by %(day)s.") % {"day": month_day_words(month_day)} if month_day else _("Once each year.")


def month_day_words(month_day: str) -> str:
    """ "31 January" of "01-31"; of a leap year, so that 29 February has its name."""
    return date_format(in_year(month_day, 2000), "j F")


def _each_part(when: When, values: Mapping[str, Any]) -> str:
    part = _("each quarter") if when == When.EACH_QUARTER else _("each half-year")
    number = int(values.get("number", 0) or 0)
    if not number:
        return _("On the last day of %(part)s.") % {"part": part}
    told = {"span": span_words(number, str(values.get("unit", "days"))), "part": part, "day": _day(values)}
    return _("%(span)s after the end of %(part)s, here after %(day)s.") % told


def _once(_when: When, values: Mapping[str, Any]) -> str:
    return _("Once, by %(day)s.") % {"day": _day(values)}


_CALENDAR: Final[Mapping[When, Callable[[When, Mapping[str, Any]], str]]] = {
    When.EACH_YEAR: _each_year, When.TWICE_A_YEAR: _each_part, When.EACH_QUARTER: _each_part, When.ON_A_DAY: _once,
}  # fmt: skip


def _day(values: Mapping[str, Any]) -> str:
    try:
        return day_words(date.fromisoformat(str(values.get("day", ""))))
    except ValueError:
        return _("a day that is not recorded")


def _labelled(sentence: str, values: Mapping[str, Any]) -> str:
    """With what it is counted from, where that has a name: an accession, a publication, a trip."""
    label = str(values.get("label", "")).strip()
    if not label:
        return sentence
    label = label if len(label) <= _LONGEST_LABEL else f"{label[:_LONGEST_LABEL].rstrip()}…"
    return _("%(sentence)s Counted for: %(label)s.") % {"sentence": sentence, "label": label.rstrip(".")}


def _capital(sentence: str) -> str:
    return f"{sentence[:1].upper()}{sentence[1:]}"


def day_words(day: date) -> str:
    """A day in a sentence: "17 June 2024"."""
    return date_format(day, "j F Y")


def days_words(due_on: date | None, today: date) -> str:
    """How far its day is: "3 days late", "today", "in 5 days"; "" where it has none."""
    if due_on is None:
        return ""
    days = (due_on - today).days
    shown = {"n": intcomma(abs(days))}
    if days < 0:
        return ngettext("%(n)s day late", "%(n)s days late", -days) % shown
    if days == 0:
        return _("today")
    return ngettext("in %(n)s day", "in %(n)s days", days) % shown


def about_words(first: date | None, last: date | None) -> str:
    """The time that a report is about: "2026"; "1 January to 31 March 2026"; "" where it is about none."""
    if first is None or last is None:
        return ""
    if (first.month, first.day, last.month, last.day) == (1, 1, 12, 31) and first.year == last.year:
        return str(first.year)
    start = date_format(first, "j F" if first.year == last.year else "j F Y")
    return _("%(first)s to %(last)s") % {"first": start, "last": day_words(last)}


def asked_words(first: date | None, last: date | None) -> str:
    """The time in which a duty was asked for: "since 1 Jun 2024"; "as long as the paper stands"."""
    start = date_format(first, "j M Y") if first else ""
    end = date_format(last, "j M Y") if last else ""
    if start and end:
        return _("%(first)s to %(last)s") % {"first": start, "last": end}
    if start:
        return _("since %(first)s") % {"first": start}
    return _("until %(last)s") % {"last": end} if end else _("as long as the paper stands")
