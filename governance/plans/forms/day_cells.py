"""Days in cells of a table: by the readers of dates, and only where there is one reading."""

from __future__ import annotations

from datetime import date

from django.utils.translation import gettext as _

from accessions.intake.problems import shown
from accessions.values import read_event_date, written_span
from accessions.values.label_forms import DateOrder, is_in_either_order, standard_form
from governance.plans.models import FIRST_DAY, LAST_DAY


class DayProblem(ValueError):
    """A text that is not one day, or one run of days. found and expected are for the person who wrote it."""

    def __init__(self, found: str, expected: str) -> None:
        super().__init__(found)
        self.found, self.expected = found, expected


def read_day(text: str) -> date:
    """The one day of a text.

    Raises:
        DayProblem: it is not one day.
    """
    first, last = read_days(text)
    if first != last:
        found = _("%(text)s is more than one day") % {"text": shown(text)}
        raise DayProblem(found, _("Write one day, such as 2027-06-03; or give one column “dates” for both ends."))
    return first


def read_days(text: str) -> tuple[date, date]:
    """First and last day of a day or a run of days, in standard form or in a form that has one reading.

    >>> read_days("3-5 June 2027")
    (datetime.date(2027, 6, 3), datetime.date(2027, 6, 5))

    Raises:
        DayProblem: it is neither, or can be read in more than one way.
    """
    form = standard_form(text) or text
    read, span = read_event_date(form), written_span(form)
    if read.reading == "run" and span and span[0] and span[1]:
        days = date.fromordinal(span[0]), date.fromordinal(span[1])
        if days[0] >= FIRST_DAY and days[1] <= LAST_DAY:
            return days
        raise DayProblem(_("%(text)s is in another age") % {"text": shown(text)}, _("Check the year."))
    raise _problem(text, read.reading, read.hint)


def _problem(text: str, reading: str, hint: str) -> DayProblem:
    if is_in_either_order(text):
        one, other = (standard_form(text, order) for order in DateOrder)
        found = _("%(text)s could be %(one)s or %(other)s") % {"text": shown(text), "one": one, "other": other}
        return DayProblem(found, _("Write it as one of the two."))
    if reading == "vague":
        found = _("%(text)s is not known to the day") % {"text": shown(text)}
        return DayProblem(found, _("Write a day such as 2027-06-03, or leave it blank while it is not fixed."))
    found = _("%(text)s is no day that can be read") % {"text": shown(text)}
    return DayProblem(f"{found} ({hint})" if hint else found, _("Write it as YYYY-MM-DD, such as 2027-06-03."))
