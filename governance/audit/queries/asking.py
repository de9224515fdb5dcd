"""Asking a question: from an address to what is asked, and to the answer inside the clocks.

Rows of an answer may be read as late as a page shows them, so what a page or a file needs of them is read while the
clocks stand: ``answered`` takes a function that does it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final, Generic, TypeVar

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from governance.audit import resolving
from governance.audit.asking import Answer, Asked, Parameter, ParameterKind, Question, UnknownValueError
from governance.audit.clocks import as_known, moment_of
from governance.papers.models import Paper

T = TypeVar("T")
ON, KNOWN = "on", "known"
CLOCKS: Final = (ON, KNOWN)
"""Parameters of every question, as addresses write them: the day in the world, and the day of the register."""

PAGE_KEYS: Final = frozenset({"sort", "page", "size"})
"""What an address says of how the rows are shown, and nothing of what is asked."""

_READ_BY_FORM: Final[Mapping[ParameterKind, Callable[[Asked, str], Any]]] = {
    ParameterKind.COUNTRY: resolving.country_of, ParameterKind.DAYS: resolving.days_of,
    ParameterKind.DAY: resolving.day_of, ParameterKind.YEAR: resolving.year_of,
}  # fmt: skip
_FOUND_IN_REGISTER: Final[Mapping[ParameterKind, Callable[[Asked, str], Any]]] = {
    ParameterKind.SPECIMEN: resolving.specimen_of, ParameterKind.PAPER: resolving.paper_of,
    ParameterKind.ACCESSION: resolving.accession_of, ParameterKind.AGENT: resolving.agent_of,
    ParameterKind.SITE: resolving.site_of, ParameterKind.SCAN: resolving.scan_of,
    ParameterKind.REPORT: resolving.report_of,
}  # fmt: skip


class UnknownValuesError(UnknownValueError):
    """Several parameters cannot be read. mistakes: by parameter, in words, in the order of the form."""

    def __init__(self, mistakes: Mapping[str, str]) -> None:
        parameter, words = next(iter(mistakes.items()))
        super().__init__(parameter, words)
        self.mistakes = dict(mistakes)


def mistakes_of(error: UnknownValueError) -> dict[str, str]:
    """All that an error says, by parameter."""
    return error.mistakes if isinstance(error, UnknownValuesError) else {error.parameter: str(error)}


def written(question: Question, address: Mapping[str, Any]) -> dict[str, str]:
    """What an address says for each parameter and both clocks; what it does not name has its default."""
    told = {one.key: str(address.get(one.key, one.default)).strip() for one in question.parameters}
    return told | {name: str(address.get(name, "")).strip() for name in CLOCKS}


def is_named(question: Question, address: Mapping[str, Any]) -> bool:
    """Whether an address says anything of what is asked."""
    return any(one.key in address for one in question.parameters) or any(address.get(name) for name in CLOCKS)


def is_put(question: Question, address: Mapping[str, Any]) -> bool:
    """Whether the question is put: by an address that says what it wants to know, or because it needs nothing said."""
    told = written(question, address)
    return is_named(question, address) or all(told[one.key] for one in question.parameters if one.is_required)


def asked_of(question: Question, address: Mapping[str, Any], user: Any) -> Asked:
    """What an address asks, for a person. The day of the register counts to its end; today's is now.

    Raises:
        UnknownValuesError: something that is needed is blank, or cannot be read as what it is.
    """
    told, today = written(question, address), timezone.localdate()
    mistakes: dict[str, str] = {}
    on = _day(told, ON, mistakes) or today
    known_on = _day(told, KNOWN, mistakes)
    if known_on and known_on > today:
        day = date_format(today, "j F Y")
        mistakes[KNOWN] = _("That day is to come; the register knows what was entered up to today, %(day)s.") % {
            "day": day
        }
    values = {one.key: told[one.key] for one in question.parameters}
    asked = Asked(values, on, user, moment_of(known_on) if known_on and known_on < today else None)
    mistakes = _unreadable(question, asked) | mistakes
    if not mistakes and _runs_backwards(question, asked):
        mistakes["to"] = _("The last day lies before the first; write the earlier one first.")
    if mistakes:
        raise UnknownValuesError(mistakes)
    return asked


def _runs_backwards(question: Question, asked: Asked) -> bool:
    """Whether its days end before they start: a question about no day at all would find nothing, and say so."""
    days = [resolving.day_of(asked, one.key) for one in question.parameters if one.key in ("from", "to")]
    first, last = days if len(days) == 2 else (None, None)
    return first is not None and last is not None and last < first


def _day(told: Mapping[str, str], name: str, mistakes: dict[str, str]) -> date | None:
    try:
        return resolving.day_of(Asked(told, date.min, None), name)
    except UnknownValueError as error:
        mistakes[name] = str(error)
        return None


def _unreadable(question: Question, asked: Asked) -> dict[str, str]:
    """What is wrong without a look into the register."""
    return {one.key: words for one in question.parameters if (words := _wrong(one, asked))}


def _wrong(parameter: Parameter, asked: Asked) -> str:
    text = asked[parameter.key]
    if not text:
        return _blank(parameter) if parameter.is_required else ""
    if parameter.kind is ParameterKind.CHOICE:
        known = {code for code, _words in parameter.choices}
        return "" if text in known else _("“%(text)s” is none of the choices.") % {"text": text}
    return _refused(_READ_BY_FORM.get(parameter.kind), asked, parameter.key)


def _blank(parameter: Parameter) -> str:
    numbers = {ParameterKind.DAYS: _("Write a number of days."), ParameterKind.YEAR: _("Write a year.")}
    return numbers.get(parameter.kind) or _("Write which one.")


def _refused(read: Callable[[Asked, str], Any] | None, asked: Asked, key: str) -> str:
    try:
        if read is not None:
            read(asked, key)
    except UnknownValueError as error:
        return str(error)
    return ""


@dataclass(frozen=True)
class Answered(Generic[T]):
    """A question with its answer, and what was read of it. at: when it was answered. specimens, papers: how many the
    register holds; None for a past moment: to count them then takes seconds, and no answer needs it."""

    question: Question
    asked: Asked
    answer: Answer
    read: T
    specimens: int | None
    papers: int | None
    at: datetime


def first_rows(found: Answered[None]) -> Any:
    """The rows of a first page: what is read of an answer where nothing else is asked."""
    return found.answer.rows.between(0, 25)


def answered(question: Question, asked: Asked, read: Callable[[Answered[None]], T] = first_rows) -> Answered[T]:
    """The answer at the moment of the register that is asked about. read: takes from the rows what is needed; after it
    they may not be read any more.

    Raises:
        UnknownValueError: something that was written is not in the register at that moment.
        AsKnownError: the register of that moment cannot be shown.
    """
    with as_known(asked.known_at):
        try:
            answer = question.answer(asked)
        except UnknownValueError as error:
            raise UnknownValuesError(mistakes_of(error) | dict(_unknown(question, asked))) from error
        specimens = Specimen.objects.count() if asked.known_at is None else None
        papers = Paper.objects.count() if asked.known_at is None else None
        found = Answered(question, asked, answer, None, specimens, papers, timezone.now())
        return Answered(question, asked, answer, read(found), specimens, papers, found.at)


def _unknown(question: Question, asked: Asked) -> Iterator[tuple[str, str]]:
    """Everything that was written and is not in the register, not only what the question looked up first."""
    for one in question.parameters:
        find = _FOUND_IN_REGISTER.get(one.kind)
        words = _refused(find, asked, one.key) if asked[one.key] else ""
        if words:
            yield one.key, words
