"""The words of a language, with its dates and numbers. A language is a file in a folder of the room that prints."""

from __future__ import annotations

import gettext
import math
from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

import pycountry
import yaml

from governance.jurisdictions.codes import country_name

_FOLDER: Final = Path(__file__).parent / "words"
_NO_BREAK: Final = "\u00a0"
_A_LEAP_YEAR: Final = 2024


class PrintedLanguage:
    """Words by key, with dates and numbers as the language writes them."""

    def __init__(self, code: str, groups: Mapping[str, Any]) -> None:
        self.code = code
        self.groups = groups

    def __call__(self, key: str, **values: object) -> str:
        """A phrase with its placeholders filled; numbers as the language writes them.

        Raises:
            KeyError: no such phrase, or a placeholder without a value.
        """
        return self._filled(self.groups["words"][key], values)

    def _filled(self, phrase: str, values: Mapping[str, object]) -> str:
        told = {name: self.number(value) if isinstance(value, int) else value for name, value in values.items()}
        return _bound(phrase).format(**told)

    def of(self, group: str, key: str) -> str:
        """The word of a layer, verdict, kind, role, reason ...; a key that is new here as it stands."""
        return str(self.groups[group].get(key, key))

    def caution(self, key: str, **values: object) -> tuple[str, str]:
        """Title and text of a caution."""
        words = self.groups["cautions"][key]
        return words["title"], self._filled(words["text"], values)

    def number(self, value: float, decimals: int = 0) -> str:
        """A number, thousands parted from five digits on.

        >>> words = PrintedLanguage("en", {"thousands": ",", "decimal": "."})
        >>> words.number(12345), words.number(1234), words.number(2.5, 1)
        ('12,345', '1234', '2.5')
        """
        text = f"{abs(value):,.{decimals}f}" if abs(value) >= 10_000 else f"{abs(value):.{decimals}f}"
        mark = str(self.groups["thousands"]).replace(" ", _NO_BREAK)
        text = text.replace(",", "\0").replace(".", str(self.groups["decimal"])).replace("\0", mark)
        return f"\u2212{text}" if value < 0 else text

    def distance(self, metres: float) -> str:
        """Metres up to 10 km, kilometres with a tenth beyond."""
        if metres < 10_000:
            return f"{self.number(math.floor(metres + 0.5))}{_NO_BREAK}m"
        return f"{self.number(metres / 1000, 1)}{_NO_BREAK}km"

    def day(self, day: date) -> str:
        """A day with its month in words, so that nobody takes it for the month."""
        month = self.groups["months"][day.month - 1]
        return str(self.groups["date"].format(day=self._of_month(day.day), month=month, year=day.year))

    def day_of_year(self, month: int, day: int) -> str:
        """A day that recurs each year."""
        return str(self.groups["day_month"].format(day=self._of_month(day), month=self.groups["months"][month - 1]))

    def _of_month(self, day: int) -> str:
        """Some languages count the first day of a month differently."""
        return str(self.groups["first_day"]) if day == 1 else str(day)

    def pair(self, name: str, value: str) -> str:
        """A name with what is said of it."""
        return _bound(str(self.groups["pair"])).format(name=name, value=value)

    def span(self, first: date, last: date) -> str:
        """Days from the first to the last; one day alone."""
        if first == last:
            return self.day(first)
        return str(self.groups["span"].format(first=self.day(first), last=self.day(last)))

    def days(self, first: date | None, last: date | None) -> str:
        """The same where a day may not be fixed."""
        if first and last:
            return self.span(first, last)
        if first:
            return self("from_open", day=self.day(first))
        return self("until_open", day=self.day(last)) if last else self("days_open")

    def several(self, words: Sequence[str]) -> str:
        """Words in a row: "a, b and c"."""
        if len(words) < 2:
            return "".join(words)
        return ", ".join(words[:-1]) + str(self.groups["and"]) + words[-1]

    def country(self, code: str) -> str:
        """The short name of a country; in English where the language has none."""
        name = country_name(code)
        return name if self.code == "en" else _translated(self.code, code) or name


def _bound(phrase: str) -> str:
    """A mark that stands apart from its word stays on its line."""
    for mark in ":;!?%":
        phrase = phrase.replace(f" {mark}", f"{_NO_BREAK}{mark}")
    return phrase


@lru_cache
def language_in(folder: Path, code: str) -> PrintedLanguage:
    """The words of a language: those of everything that is printed, and those of a folder with a file a language.

    Raises:
        FileNotFoundError: there is no file of that language.
    """
    files = (_FOLDER / f"{code}.yaml", folder / f"{code}.yaml")
    everywhere, own = (yaml.safe_load(file.read_text("utf-8")) for file in files)
    return PrintedLanguage(code, everywhere | own)


@lru_cache
def _translated(code: str, country: str) -> str:
    """A country by the translations of iso-codes, which come with pycountry; "" if it has none."""
    found = pycountry.countries.get(alpha_2=country)
    if found is None:
        return ""
    words = gettext.translation("iso3166-1", pycountry.LOCALES_DIR, languages=[code], fallback=True)
    name = getattr(found, "common_name", found.name)
    return words.gettext(name)
