"""Lists that people type one a line, and what the exchange file makes of them. Each reader has its way back.

A reader raises ``ValidationError`` with every line that cannot be read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

NOT: Final = "not "
_OTHER_NO: Final = ("no ", "excepto ", "salvo ")
"""How else somebody may mean ``not``: taken for an allowed name, it would turn what the paper says round."""
_KINGDOM: Final = re.compile(r"(?P<name>.+?)\s*\[(?P<kingdom>[^\[\]]+)\]")
_PAGE: Final = re.compile(r"(?:p|page|pág|página|s)\.?\s*(?P<page>\d{1,5})\s*[:,;]\s*(?P<text>.+)", re.IGNORECASE)
_ASKS: Final = re.compile(
    r"\[\s*(?:(?:notice|aviso)\s+(?P<notice>[-+]?\d[^\]]*)|(?:report\s+by|informe\s+antes\s+del)\s+(?P<report>[^\]]+))\]",
    re.IGNORECASE,
)
_NOTICE: Final = re.compile(r"(?P<days>\d{1,4})\s*(?:days?|días?)?\s*", re.ASCII | re.IGNORECASE)
MOST_NOTICE_DAYS: Final = 3650
_MONTHS: Final = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
_MONTHS_ES: Final = (
    "enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre", "noviembre",
    "diciembre",
)  # fmt: skip
_BOTH_MONTHS: Final = tuple(zip(_MONTHS, _MONTHS_ES, strict=True))
_SPLIT: Final = re.compile(r"\s+(?:to|until|al?|hasta(?:\s+el)?)\s+|\s+[-–—]\s+|\s*[–—]\s*", re.IGNORECASE)
_NUMBERS: Final = re.compile(r"(?P<month>\d{1,2})-(?P<day>\d{1,2})")
_DAY_MONTH: Final = re.compile(
    r"(?:del?\s+|el\s+)?(?P<day>\d{1,2})\.?\s+(?:de\s+)?(?P<month>[a-z]{3,10})\.?", re.IGNORECASE
)
_MONTH_DAY: Final = re.compile(r"(?P<month>[a-z]{3,9})\.?\s+(?P<day>\d{1,2})", re.IGNORECASE)
_LENGTHS: Final = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def filled_lines(text: str) -> list[str]:
    """Lines that hold something."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def read_words(text: str) -> dict[str, list[str]]:
    """``hand net`` is allowed, ``not electrofishing`` is not.

    >>> read_words("hand net\\nnot electrofishing")
    {'include': ['hand net'], 'exclude': ['electrofishing']}
    """
    _refuse_other_no(filled_lines(text))
    found: dict[str, list[str]] = {"include": [], "exclude": []}
    for line in filled_lines(text):
        if line.casefold().startswith(NOT):
            found["exclude"].append(line[len(NOT) :].strip())
        else:
            found["include"].append(line)
    return found


def _refuse_other_no(written: Sequence[str]) -> None:
    if meant := [line for line in written if line.casefold().startswith(_OTHER_NO)]:
        words = _("“%(line)s”: write “not” before what the paper does not allow, such as “not electrofishing”.")
        raise ValidationError([words % {"line": line[:60]} for line in meant])


def words_text(value: Mapping[str, Sequence[str]] | None) -> str:
    """The way back."""
    told = value or {}
    return "\n".join([*told.get("include", ()), *(NOT + word for word in told.get("exclude", ()))])


def read_taxa(text: str) -> dict[str, list[Any]]:
    """As ``read_words``; a kingdom stands in square brackets.

    >>> read_taxa("Odonata\\nnot Oenanthe [Plantae]")
    {'include': ['Odonata'], 'exclude': [{'name': 'Oenanthe', 'kingdom': 'Plantae'}]}
    """
    return {key: [read_taxon(name) for name in names] for key, names in read_words(text).items()}


def read_taxon(text: str) -> str | dict[str, str]:
    """One name, with its kingdom if that stands behind it."""
    match = _KINGDOM.fullmatch(text.strip())
    return {"name": match["name"], "kingdom": match["kingdom"].strip()} if match else text.strip()


def taxon_text(value: str | Mapping[str, str]) -> str:
    """The way back."""
    return value if isinstance(value, str) else f"{value['name']} [{value['kingdom']}]"


def taxa_text(value: Mapping[str, Sequence[Any]] | None) -> str:
    """The way back of ``read_taxa``."""
    told = value or {}
    return words_text({key: [taxon_text(taxon) for taxon in told.get(key, ())] for key in ("include", "exclude")})


def read_seasons(text: str) -> list[list[str]]:
    """``1 March to 31 August``, ``Mar 1 - Aug 31``, ``1 de marzo al 31 de agosto`` or ``03-01 to 08-31``.

    >>> read_seasons("1 March to 31 August")
    [['03-01', '08-31']]
    """
    return _each(text, _season, _("Write a closed season as “1 March to 31 August”."))


def seasons_text(value: Iterable[Sequence[str]]) -> str:
    """The way back."""
    return "\n".join(f"{_day_words(first)} to {_day_words(last)}" for first, last in value)


def read_conditions(text: str) -> list[dict[str, Any]]:
    """One a line; ``p. 3:`` before it is the page, what it asks for stands behind it in brackets.

    >>> read_conditions("p. 3: Large mussels are to be returned.")
    [{'text': 'Large mussels are to be returned.', 'page': 3}]
    >>> read_conditions("Tell the warden. [notice 7 days]")
    [{'text': 'Tell the warden.', 'notice_days': 7}]
    >>> read_conditions("A list is sent. [report by 31 January]")
    [{'text': 'A list is sent.', 'report_by': '01-31'}]
    """
    return _each(
        text, _condition,
        _("Write what a condition asks for once, as [notice 7 days], up to 3650, or [report by 31 January]."),
    )  # fmt: skip


def _condition(line: str) -> dict[str, Any] | None:
    asks: dict[str, Any] = {}
    while match := _ASKS.fullmatch(line[max(line.rfind("["), 0) :]):
        line = line[: line.rfind("[")].rstrip()
        told = _asked(match["notice"], match["report"])
        if not line or told is None or told.keys() & asks.keys():
            return None
        asks |= told
    page = _PAGE.fullmatch(line)
    return ({"text": page["text"], "page": int(page["page"])} if page else {"text": line}) | asks


def _asked(notice: str | None, report: str | None) -> dict[str, Any] | None:
    """What stands in the brackets; None if it cannot be read."""
    if report is not None:
        day = _day(report)
        return None if day is None else {"report_by": day}
    days = _NOTICE.fullmatch(notice or "")
    if days is None or int(days["days"]) > MOST_NOTICE_DAYS:
        return None
    return {"notice_days": int(days["days"])}


def conditions_text(value: Iterable[Mapping[str, Any]]) -> str:
    """The way back; a condition of several lines becomes one."""
    return "\n".join(
        (f"p. {condition['page']}: " if condition.get("page") else "")
        + " ".join(condition["text"].split())
        + _asks_text(condition)
        for condition in value
    )


def _asks_text(condition: Mapping[str, Any]) -> str:
    days, day = condition.get("notice_days"), condition.get("report_by")
    notice = "" if days is None else f" [notice {days} day{'' if days == 1 else 's'}]"
    return notice + (f" [report by {_day_words(day)}]" if day else "")


def _each(text: str, read: Callable[[str], Any], expected: str) -> list[Any]:
    found, problems = [], []
    for number, line in enumerate(filled_lines(text), 1):
        value = read(line)
        if value is None:
            problems.append(
                _("Line %(number)d, “%(line)s”, cannot be read. %(expected)s")
                % {"number": number, "line": line[:60], "expected": expected}
            )
        found.append(value)
    if problems:
        raise ValidationError(problems)
    return found


def _season(line: str) -> list[str] | None:
    ends = [_day(part) for part in _SPLIT.split(line, maxsplit=1)]
    return [str(end) for end in ends] if len(ends) == 2 and all(ends) else None


def _day(text: str) -> str | None:
    text = text.strip()
    numbers = _NUMBERS.fullmatch(text)
    if numbers:
        return _checked(int(numbers["month"]), int(numbers["day"]))
    words = _DAY_MONTH.fullmatch(text) or _MONTH_DAY.fullmatch(text)
    if not words:
        return None
    begun = words["month"].casefold()
    month = next((n for n, names in enumerate(_BOTH_MONTHS, 1) if any(name.startswith(begun) for name in names)), 0)
    return _checked(month, int(words["day"]))


def _checked(month: int, day: int) -> str | None:
    return f"{month:02}-{day:02}" if 1 <= month <= 12 and 1 <= day <= _LENGTHS[month - 1] else None


def _day_words(month_day: str) -> str:
    return f"{int(month_day[3:])} {_MONTHS[int(month_day[:2]) - 1].title()}"
