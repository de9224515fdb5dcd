"""How a question was asked and what it was answered, as lines of a label and words: the head of every file."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.asking import Asked, Missing, Parameter, ParameterKind
from governance.audit.queries.asking import Answered
from governance.audit.writing.cells import strip_words
from governance.papers.countries import country_name

Line = tuple[str, str]


def caution() -> str:
    """What stands wherever a verdict is shown (VERDICTS, section 9), as the pages say it."""
    return _(
        "A verdict compares records with the papers on file. It is no legal advice and no finding of an offence. "
        "National and local law, the issuing authority and the institution’s own legal office decide."
    )


def caution_line() -> Line:
    """The same as the last line of what was told."""
    return _("Caution"), caution()


def asked_lines(answered: Answered[Any]) -> Iterator[Line]:
    """The question, what it was asked with, both clocks, when, by whom, and from how many records."""
    asked = answered.asked
    yield _("Question"), str(answered.question.title)
    yield _("What it shows"), str(answered.question.shows)
    for parameter in answered.question.parameters:
        yield str(parameter.label), value_words(parameter, asked[parameter.key]) or _("left blank")
    yield _("As of (day in the world)"), asked.on.isoformat()
    yield _("As known on (day of the register)"), known_words(asked.known_at)
    yield _("Answered"), timezone.localtime(answered.at).isoformat(timespec="seconds")
    yield _("Asked by"), _("%(name)s, %(role)s") % {
        "name": asked.reader.shown_name, "role": asked.reader.get_role_display(),
    }  # fmt: skip
    yield _("From"), from_words(answered)


def answer_lines(answered: Answered[Any]) -> Iterator[Line]:
    """The sentence, the strip, how many rows, what is missing, what is kept back, and what it rests on."""
    answer = answered.answer
    yield _("Answer"), answer.sentence
    if answer.strip:
        yield _("Permission strip"), strip_words(answer.strip)
    yield _("Rows"), str(len(answer.rows))
    for missing in answer.missing:
        yield _("Missing"), missing_words(missing)
    for sentence in answer.kept_back:
        yield _("Kept back"), sentence
    for sentence in answer.notes:
        yield _("How this was asked"), sentence


def missing_words(missing: Missing) -> str:
    """What is missing, with how many where the words do not say it."""
    shown = "" if missing.count is None else intcomma(missing.count)
    return missing.words if not shown or shown in missing.words else f"{missing.words} ({shown})"


def value_words(parameter: Parameter, text: str) -> str:
    """A value as people read it: the words of a choice, the name of a country, a day with its month in words."""
    if parameter.kind is ParameterKind.CHOICE:
        return str(dict(parameter.choices).get(text, text))
    if parameter.kind is ParameterKind.COUNTRY and text:
        return country_name(text.upper())
    return text


def known_words(known_at: datetime | None) -> str:
    """The second clock in words."""
    if known_at is None:
        return _("now: all that is entered")
    return timezone.localtime(known_at).date().isoformat()


def from_words(answered: Answered[Any]) -> str:
    """From how many records; of a past moment, from which."""
    known_at = answered.asked.known_at
    if known_at is not None:
        day = date_format(timezone.localtime(known_at), "j F Y")
        return _("all that was entered by the end of %(day)s") % {"day": day}
    specimens, papers = answered.specimens or 0, answered.papers or 0
    return _("%(specimens)s and %(papers)s") % {
        "specimens": ngettext("%(n)s specimen", "%(n)s specimens", specimens) % {"n": intcomma(specimens)},
        "papers": ngettext("%(n)s paper", "%(n)s papers", papers) % {"n": intcomma(papers)},
    }  # fmt: skip


def clock_words(asked: Asked, *, is_on_said: bool) -> str:
    """Before the sentence: the clocks that somebody set; "" for none."""
    on = date_format(asked.on, "j F Y")
    if asked.known_at is None:
        return _("As of %(on)s:") % {"on": on} if is_on_said else ""
    known = date_format(timezone.localtime(asked.known_at), "j F Y")
    if is_on_said:
        return _("As of %(on)s, as known on %(known)s:") % {"on": on, "known": known}
    return _("As known on %(known)s:") % {"known": known}


def at_words(answered: Answered[Any]) -> str:
    """When, in a sentence of the page."""
    at = timezone.localtime(answered.at)
    return _("Answered on %(day)s at %(time)s from %(records)s.") % {
        "day": date_format(at, "j F Y"), "time": date_format(at, "H:i"), "records": from_words(answered),
    }  # fmt: skip
