"""Standard forms of dates that labels write, to be offered to a person and taken only once confirmed."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from typing import Final

from accessions.values._intervals import LONGEST_DATE
from accessions.values._label_dates import offered_date
from accessions.values.blanks import filled
from accessions.values.dates import read_event_date

_FIGURES: Final = re.compile(r"([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{4})")
_FIRST_YEAR: Final = 1500


class DateOrder(StrEnum):
    """The order in which a column writes dates of figures."""

    DAY_MONTH = "day-month"
    MONTH_DAY = "month-day"


def is_in_either_order(text: str) -> bool:
    """Whether day and month could be either way round, and would then be two days.

    >>> is_in_either_order("05/06/2019"), is_in_either_order("25/06/2019"), is_in_either_order("05/05/2019")
    (True, False, False)
    """
    readings = {_in_order(text, order) for order in DateOrder}
    return len(readings) == 2 and "" not in readings


def standard_form(text: str, order: DateOrder | None = None) -> str:
    """The form of ISO 8601 or EDTF of a date as a label writes it, "" where it has none or is in it already.

    Args:
        order: how dates of figures are read whose day and month could be either way round; None: they have no form.

    >>> standard_form("12.VI.2019"), standard_form("3 May 1998"), standard_form("2019-06-12")
    ('2019-06-12', '1998-05-03', '')
    >>> standard_form("05/06/2019"), standard_form("05/06/2019", DateOrder.DAY_MONTH)
    ('', '2019-06-05')
    """
    if len(text) > LONGEST_DATE or not filled(text) or read_event_date(text).reading != "unreadable":
        return ""
    return offered_date(text) or (_in_order(text, order) if order else "")


def _in_order(text: str, order: DateOrder) -> str:
    found = _FIGURES.fullmatch(text.strip()) if len(text) <= LONGEST_DATE else None
    if not found or int(found[3]) < _FIRST_YEAR:
        return ""
    first, second, year = map(int, found.groups())
    day, month = (first, second) if order is DateOrder.DAY_MONTH else (second, first)
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return ""
