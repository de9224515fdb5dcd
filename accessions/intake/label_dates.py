"""Columns whose dates are written as on labels: what they could mean, offered for the whole column at once."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from accessions.intake.rows import FileRows
from accessions.values import read_event_date
from accessions.values.label_forms import DateOrder, is_in_either_order, standard_form

DATE_TERMS: Final = ("eventDate", "exportedOn", "importedOn", "transferredOn")
PLAIN: Final = "plain"
"""The answer for a column without dates that could be either way round."""
AS_WRITTEN: Final = "as-written"
"""The answer that leaves a column as it is."""
_EXAMPLES: Final = 6


@dataclass(frozen=True)
class Example:
    """A date as written, and its standard form by the order of day and month; equal where only one is possible."""

    written: str
    day_month: str
    month_day: str
    rows: int


@dataclass(frozen=True)
class DateColumn:
    """A column of dates that are not in the standard form.

    plain_rows: rows whose date has one form. open_rows: rows whose day and month could be either way round.
    unread_rows: rows whose date has no form. examples: of the first two kinds; unread: texts of the third.
    day_first_rows, month_first_rows: of the plain rows, those whose numbers fit one order alone, as 28.7.2025 does.
    """

    term: str
    header: str
    plain_rows: int
    open_rows: int
    unread_rows: int
    examples: tuple[Example, ...]
    unread: tuple[str, ...]
    day_first_rows: int = 0
    month_first_rows: int = 0

    @property
    def has_open_order(self) -> bool:
        return self.open_rows > 0

    @property
    def offered_rows(self) -> int:
        return self.plain_rows + self.open_rows


def date_columns(rows: FileRows) -> list[DateColumn]:
    """The columns that hold dates as labels write them; not those of unreadable text alone."""
    return [column for term in rows.present(DATE_TERMS) if (column := _column(rows, term)).offered_rows]


def _column(rows: FileRows, term: str) -> DateColumn:
    counts = Counter(rows.columns[term])
    odd = [text for text in counts if text and read_event_date(text).reading == "unreadable"]
    open_texts = [text for text in odd if is_in_either_order(text) and not standard_form(text)]
    plain = [text for text in odd if standard_form(text)]
    known = {*open_texts, *plain}
    unread = [text for text in odd if text not in known]
    shown = [*open_texts[:_EXAMPLES], *plain[: max(2, _EXAMPLES - len(open_texts))]]
    return DateColumn(
        term=term,
        header=rows.header_of.get(term, term),
        plain_rows=sum(counts[text] for text in plain),
        open_rows=sum(counts[text] for text in open_texts),
        unread_rows=sum(counts[text] for text in unread),
        examples=tuple(_example(text, counts[text]) for text in shown),
        unread=tuple(unread[:_EXAMPLES]),
        day_first_rows=sum(counts[text] for text in plain if _day_stands(text) == 0),
        month_first_rows=sum(counts[text] for text in plain if _day_stands(text) == 1),
    )


def _day_stands(text: str) -> int | None:
    """Which of the first two numbers can be a day alone: the first (0), the second (1), or not told (None)."""
    numbers = re.match(r"\s*(\d{1,2})\D(\d{1,2})\D\d{4}\s*$", text)
    above = [int(number) > 12 for number in numbers.groups()] if numbers else [False]
    return above.index(True) if sum(above) == 1 else None


def _example(text: str, count: int) -> Example:
    return Example(text, standard_form(text, DateOrder.DAY_MONTH), standard_form(text, DateOrder.MONTH_DAY), count)


def with_standard_dates(rows: FileRows, answers: Mapping[str, str]) -> FileRows:
    """The rows with the confirmed columns in standard form; a date of collecting as written goes to verbatimEventDate.

    Args:
        answers: term to ``PLAIN``, ``AS_WRITTEN`` or a ``DateOrder``; columns without an answer stay as written.
    """
    columns = dict(rows.columns)
    for term, answer in answers.items():
        if term in DATE_TERMS and term in columns and answer != AS_WRITTEN:
            before = columns[term]
            columns[term] = _converted(before, answer)
            if term == "eventDate":
                columns["verbatimEventDate"] = _verbatim(before, columns)
    return replace(rows, columns=columns)


def _converted(cells: Sequence[str], answer: str) -> list[str]:
    order = DateOrder(answer) if answer in list(DateOrder) else None
    form_of = {text: standard_form(text, order) or text for text in set(cells)}
    return [form_of[text] for text in cells]


def _verbatim(before: Sequence[str], columns: Mapping[str, Sequence[str]]) -> list[str]:
    """What stood in eventDate where it was put into standard form; a verbatim date that is there already stays."""
    stated = columns.get("verbatimEventDate") or [""] * len(before)
    triples: Iterator[tuple[str, str, str]] = zip(before, columns["eventDate"], stated, strict=True)
    return [own or (old if old != new else "") for old, new, own in triples]
