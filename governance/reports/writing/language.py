"""The words of reports in a language. A language is a file in ``words``; its days, numbers and kinds of papers are
those of everything that is printed."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from string import Formatter
from typing import Any, Final

from governance.papers.printed.language import PrintedLanguage, language_in
from governance.reports.contents import Column, ColumnType, Value

_FOLDER: Final = Path(__file__).parent / "words"
_ISO_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")
_DECIMAL: Final = re.compile(r"-?\d+\.\d+")
_NO_BREAK: Final = "\u00a0"
DAY, MONTH, YEAR = "day", "month", "year"
_EVERY_TAXON: Final = "*"
"""As the exchange files write it."""

GROUPS_OF_VALUES: Final[Mapping[str, str]] = {
    "verdict": "verdicts", "layer": "layers", "deed": "deeds", "answer": "answers", "now": "whereabouts",
    "question": "unknowns", "code": "benefits", "duty_kind": "duty_kinds", "paper_kind": "paper_kinds",
    "paper_state": "paper_states", "part": "parts", "text": "texts",
}  # fmt: skip
"""Names of values in sentences that are codes, with the group that names them."""

STEMS: Final[Mapping[str, str]] = {
    "papers": "paper_states", "verdict": "verdicts", "now": "whereabouts", "exceptions": "verdicts", "moved": "deeds",
    "use": "deeds", "used": "deeds", "lost": "deeds", "promises": "promise_states", "given": "benefits",
    "duties": "duty_states", "unknown": "unknowns",
}  # fmt: skip
"""Figures of one code: the stem of their key, with the group that names what follows it."""


class ReportWords(PrintedLanguage):
    """Words of a report: names of tables, columns and codes, and sentences whose blanks are filled."""

    def __call__(self, key: str, **values: object) -> str:
        """A phrase of the group ``words``; one that has a singular is chosen by the value ``n``.

        Raises:
            KeyError: no such phrase, or a placeholder without a value.
        """
        return "".join(text for text, _name in self.pieces("words", key, values))

    def pieces(self, group: str, key: str, values: Mapping[str, object]) -> Iterator[tuple[str, str]]:
        """A sentence as its texts, each with the name of the value that it writes ("" for words between).

        A key without a sentence is written as it stands, with its values: an old report stays legible.
        """
        phrase = self.groups[group].get(key)
        if phrase is None:
            told = ", ".join(f"{name}: {self.written(name, value)}" for name, value in values.items())
            yield f"{key.replace('_', ' ').replace('-', ' ')}{f' ({told})' if told else ''}", ""
            return
        for words, name, _spec, _conversion in Formatter().parse(_bound(_chosen(phrase, values))):
            if words:
                yield words, ""
            if name is not None:
                yield self.written(name, values[name]), name

    def written(self, name: str, value: object) -> str:
        """A value of a sentence: numbers, days and codes as the language has them."""
        if value is None or value == "":
            return self("not_known")
        if name.endswith("country"):
            return self.country(str(value))
        if name in GROUPS_OF_VALUES:
            return self.code_word(GROUPS_OF_VALUES[name], str(value))
        if isinstance(value, int):
            return self.number(value)
        text = str(value)
        if name == "taxon" and text == _EVERY_TAXON:
            return self("every_taxon")
        if _DECIMAL.fullmatch(text):
            return self.amount(text)
        return self.day(date.fromisoformat(text)) if _ISO_DAY.fullmatch(text) else text

    def code_word(self, group: str, code: str) -> str:
        """What a code is called; kinds of papers are named for all that is printed."""
        return self.of("kinds" if group == "paper_kinds" else group, code)

    def figure(self, key: str) -> str:
        """What a figure is called; one of a code by its stem and the code."""
        named = self.groups["figures"].get(key)
        if named is not None:
            return str(named)
        stem, _, code = key.partition("_")
        if stem in STEMS and code in self.groups[STEMS[stem]]:
            return self.pair(self.of("figure_stems", stem), self.code_word(STEMS[stem], code))
        return key.replace("_", " ")

    def value(self, column: Column, value: Value) -> str:
        """A value of a table; "" for a blank one."""
        if value is None or value == "":
            return ""
        if column.type is ColumnType.DAY:
            return self.short_day(str(value))
        if column.type is ColumnType.NUMBER:
            return self.amount(str(value))
        if column.type is ColumnType.DECIMAL:
            return self.amount(str(value))
        if column.type is ColumnType.COUNTRY:
            return self.country(str(value))
        return self.code_word(column.words, str(value)) if column.type is ColumnType.WORD else str(value)

    def amount(self, value: str) -> str:
        """A number with the decimals that it has; what is none as it stands."""
        try:
            number = Decimal(value)
        except ArithmeticError:
            return value
        decimals = max(0, -int(number.as_tuple().exponent)) if number.is_finite() else 0
        return self.number(number, decimals)  # type: ignore[arg-type]  # formats a Decimal as it does a float

    def short_day(self, iso: str) -> str:
        """A day for tables, "17 Jun 2024"; what is no whole day as it stands."""
        if not _ISO_DAY.fullmatch(iso):
            return iso
        day = date.fromisoformat(iso)
        month = self.groups["months_short"][day.month - 1]
        text = str(self.groups["date_short"].format(day=self._of_month(day.day), month=month, year=day.year))
        return text.replace(" ", _NO_BREAK)

    def short_span(self, first: Value, last: Value) -> str:
        """Days from the first to the last; "" where neither is known."""
        if first == last:
            return self.short_day(str(first)) if first else ""
        if first and last:
            return str(
                self.groups["span_short"].format(first=self.short_day(str(first)), last=self.short_day(str(last)))
            )
        return self("from_open" if first else "until_open", day=self.short_day(str(first or last)))

    def taken_span(self, first: Value, last: Value) -> str:
        """Days on one of which something was taken: of whole months or years, which say that the day is not known, no
        day is said."""
        known = known_to(str(first), str(last))
        if known == DAY:
            return self.short_span(first, last)
        begins, ends = self._known_day(str(first), known), self._known_day(str(last), known)
        return begins if begins == ends else str(self.groups["span_short"].format(first=begins, last=ends))

    def _known_day(self, iso: str, known: str) -> str:
        day = date.fromisoformat(iso)
        month = self.groups["months_short"][day.month - 1]
        return str(day.year) if known == YEAR else f"{month}{_NO_BREAK}{day.year}"

    def caution(self) -> str:  # type: ignore[override]  # one for all reports
        """What a verdict is, and is not (VERDICTS, section 9)."""
        return str(self.groups["caution"])


def known_to(first: str, last: str) -> str:
    """How well a day is known of which these are the bounds: whole months or years say that it is not known better.

    >>> known_to("2024-05-01", "2024-05-31"), known_to("2024-01-01", "2024-12-31"), known_to("2024-05-01", "2024-05-01")
    ('month', 'year', 'day')
    """
    if not (_ISO_DAY.fullmatch(first) and _ISO_DAY.fullmatch(last)) or not first.endswith("-01"):
        return DAY
    end = date.fromisoformat(last)
    if end.day != monthrange(end.year, end.month)[1]:
        return DAY
    return YEAR if first.endswith("-01-01") and last.endswith("-12-31") else MONTH


def _chosen(phrase: Any, values: Mapping[str, object]) -> str:
    """The singular where a phrase has one and ``n`` is one."""
    if isinstance(phrase, Mapping):
        return str(phrase["one" if str(values.get("n")) == "1" else "other"])
    return str(phrase)


def _bound(phrase: str) -> str:
    """A mark that stands apart from its word stays on its line."""
    for mark in ":;!?%":
        phrase = phrase.replace(f" {mark}", f"{_NO_BREAK}{mark}")
    return phrase


@lru_cache
def words_of(code: str) -> ReportWords:
    """The words of a language.

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    found = language_in(_FOLDER, code)
    return ReportWords(found.code, found.groups)


@lru_cache
def languages() -> list[str]:
    """Codes of the languages that have a file."""
    return sorted(file.stem for file in _FOLDER.glob("*.yaml"))
