"""A draft of the letter that asks a provider. What is not known stays a marked blank. A language is a file of words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

import yaml

from governance.engine.uses import Use
from governance.jurisdictions.codes import country_name
from governance.papers.models import USE_NAMES, UseTerm
from governance.usedesk.models import DeskRules, ProviderQuestion

_FOLDER: Final = Path(__file__).parent / "letter_words"
LANGUAGES: Final = {"en": "English", "es": "Español", "fr": "Français", "pt": "Português"}
"""Languages of letters, each under its own name."""

_MOST_NUMBERS: Final = 60


def letter_language(code: str) -> str:
    """The language of the letter for that of a paper (BCP 47): its own where there are words, else English.

    >>> letter_language("es-CR"), letter_language("ka"), letter_language("")
    ('es', 'en', 'en')
    """
    short = code.lower().replace("_", "-").partition("-")[0]
    return short if short in LANGUAGES else "en"


@cache
def _words(code: str) -> Mapping[str, Any]:
    found: Mapping[str, Any] = yaml.safe_load((_FOLDER / f"{code}.yaml").read_text(encoding="utf-8"))
    return found


class _Letter:
    """Words of one language, with its blanks and days."""

    def __init__(self, code: str) -> None:
        self._groups = _words(code)

    def __call__(self, key: str, **values: object) -> str:
        return str(self._groups[key]).format(**values)

    def blank(self, what: str) -> str:
        """A marked blank: nothing is invented."""
        return self("blank", what=self._groups["whats"][what])

    def use(self, use: Use) -> str:
        return str(self._groups["use_names"].get(use.code) or USE_NAMES[use])

    def day(self, day: date) -> str:
        number = self._groups.get("first_day", "1") if day.day == 1 else str(day.day)
        return self("date", day=number, month=self._groups["months"][day.month - 1], year=day.year)


def letter(
    question: ProviderQuestion, *, clauses: Sequence[UseTerm], numbers: Sequence[str], count: int, house: DeskRules,
    today: date, code: str,
) -> str:  # fmt: skip
    """Plain text. clauses: of the paper, on the uses that are asked about. count: of the specimens in question."""
    words = _Letter(code)
    parts = (
        _head(words, question, house, today), _uses(words, question, clauses), _what_for(words, question),
        _material(words, numbers, count), _close(words, house),
    )  # fmt: skip
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _head(words: _Letter, question: ProviderQuestion, house: DeskRules, today: date) -> Iterator[str]:
    paper = question.paper
    yield words("draft")
    yield ""
    yield house.institution or words.blank("house")
    yield from house.address.splitlines()
    yield ""
    yield words("to", whom=question.asked_of or words.blank("whom"))
    yield words("on", day=words.day(today))
    yield words("ours", number=question.request.reference)
    yield words("yours", paper=_paper(paper))
    yield ""
    yield words("subject", paper=paper.reference)
    yield ""
    yield words("opening")
    yield ""
    yield words("ask", paper=_paper(paper))


def _paper(paper: Any) -> str:
    return f"{paper.reference} ({paper.second_number})" if paper.second_number else str(paper.reference)


def _uses(words: _Letter, question: ProviderQuestion, clauses: Sequence[UseTerm]) -> Iterator[str]:
    uses = [use for use in Use if question.uses >> use & 1]
    yield words("uses")
    yield from (f"  - {words.use(use)}" for use in uses)
    yield ""
    yield words("clauses")
    if not clauses:
        yield f"  {words('silent')}"
    for term in clauses:
        yield f"  {words.use(Use(term.use))}: “{term.clause}”{_place(words, term)}"


def _place(words: _Letter, term: UseTerm) -> str:
    told = [words("clause", number=term.clause_number)] if term.clause_number else []
    told += [words("page", number=term.page)] if term.page else []
    return f" ({', '.join(told)})" if told else ""


def _what_for(words: _Letter, question: ProviderQuestion) -> Iterator[str]:
    request, recipient = question.request, question.request.recipient
    who = ", ".join(filter(None, [recipient.name if recipient else "", request.asked_by]))
    yield f"{words('for_whom')}: {who or words.blank('recipient')}"
    place = country_name(request.country) if request.country else words.blank("country")
    yield f"{words('country')}: {place}"
    yield f"{words('purpose')}: {request.purpose.strip() or words.blank('purpose')}"
    yield f"{words('time')}: {_time(words, request)}"
    for key, told in (("commercial", request.commercial), ("identification", request.identification_only)):
        yield f"{words(key)}: {words(told) if told else words.blank('told')}"
    if request.parts:
        yield f"{words('parts')}: {request.parts}"


def _time(words: _Letter, request: Any) -> str:
    first, last = request.starts_on, request.ends_on
    if first and last:
        return words("from_to", first=words.day(first), last=words.day(last))
    return words.day(first or last) if first or last else words.blank("time")


def _material(words: _Letter, numbers: Sequence[str], count: int) -> Iterator[str]:
    yield words("material", n=count)
    if not numbers:
        yield f"{words('numbers')}: {words.blank('numbers')}"
        return
    shown = ", ".join(numbers[:_MOST_NUMBERS])
    more = count - min(len(numbers), _MOST_NUMBERS)
    yield f"{words('numbers')}: {shown}{' ' + words('more', n=more) if more > 0 else ''}"


def _close(words: _Letter, house: DeskRules) -> Iterator[str]:
    yield words("reply")
    yield ""
    yield words("closing")
    yield words.blank("signer")
    yield from [house.institution] if house.institution else []
