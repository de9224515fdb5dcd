"""Days of a plan moved to another season."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from accessions.values import read_event_date, written_span


@dataclass(frozen=True)
class Shift:
    """So many years, then so many days on; both may be below zero."""

    years: int = 0
    days: int = 0

    def of(self, day: date) -> date:
        """The day moved. 29 February of a year that has none is the 28th.

        >>> Shift(years=1).of(date(2028, 2, 29))
        datetime.date(2029, 2, 28)
        """
        try:
            moved = day.replace(year=day.year + self.years)
        except ValueError:
            moved = day.replace(year=day.year + self.years, day=28)
        return moved + timedelta(days=self.days)

    def of_maybe(self, day: date | None) -> date | None:
        """The same; a day that is not fixed stays so."""
        return None if day is None else self.of(day)

    def of_text(self, text: str) -> str:
        """A day or a run of days as a delivery writes them, moved; "" if the text is not known to the day.

        >>> Shift(years=1).of_text("2027-06-20"), Shift(years=1).of_text("2027-06")
        ('2028-06-20', '')
        """
        span = written_span(text)
        if span is None or span[0] is None or span[1] is None or read_event_date(text).reading != "run":
            return ""
        first, last = (self.of(date.fromordinal(day)).isoformat() for day in span if day is not None)
        return first if first == last else f"{first}/{last}"

    def on_same_weekdays(self, first: date | None) -> Shift:
        """The shift in whole weeks that comes nearest to this one for a first day.

        >>> Shift(years=1).on_same_weekdays(date(2027, 6, 3))
        Shift(years=0, days=364)
        """
        if first is None:
            return self
        return Shift(days=round((self.of(first) - first).days / 7) * 7)
