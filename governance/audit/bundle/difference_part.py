"""What was entered after the moment that was asked for: the same rows as known then and as known now."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from governance.audit.asking import Answer, UnknownValueError
from governance.audit.bundle.frame import Bundle
from governance.audit.bundle.specimen_part import SpecimenRows, specimen_answer
from governance.audit.bundle.subjects import subject_of
from governance.audit.clocks import as_known
from governance.audit.queries.asking import asked_of
from governance.audit.queries.beside_now import MOST_HELD
from governance.audit.queries.differing import Difference, difference_between, plain

_HEAD: Final = ("row", "what", "column", "then", "now")


def add_difference(bundle: Bundle) -> None:
    """``rows/difference.csv``, if a moment of the register was asked for. Outside the clocks: it sets them itself."""
    if bundle.known_at is None:
        return
    part = bundle.part(_("As known then and as known now"))
    try:
        asks = _asks(bundle)
    except UnknownValueError as error:
        part.words = _("It is no longer in the register: %(why)s") % {"why": error}
        return
    if asks is None:
        part.words = _("Its rows are too many to be compared; the histories tell what was entered since.")
        return
    found = difference_between(*asks, within=lambda: _then(bundle), most=MOST_HELD)
    part.words = _in_words(found)
    if found.is_any:
        bundle.csv("rows/difference.csv", _HEAD, _rows(found, _columns(asks[1]())))
        part.tell("rows/difference.csv", _("Rows that came, went or say something else by now"))


def _then(bundle: Bundle) -> AbstractContextManager[None]:
    return as_known(bundle.known_at)


def _asks(bundle: Bundle) -> tuple[Callable[[], Answer], Callable[[], Answer]] | None:
    """The answer of then and of now; None where there are too many rows."""
    subject = bundle.subject
    if subject.question is not None:
        question = subject.question
        asked = asked_of(question, subject.values, bundle.reader)
        now = asked_of(question, {**subject.values, "known": "", "on": asked.on.isoformat()}, bundle.reader)
        with _then(bundle):
            count = len(question.answer(asked).rows)
        too_many = max(count, len(question.answer(now).rows)) > MOST_HELD
        return None if too_many else (lambda: question.answer(asked), lambda: question.answer(now))
    keys = subject_of(f"{subject.kind}:{subject.key}", {}, bundle.reader).specimens
    if max(len(keys), len(subject.specimens)) > MOST_HELD:
        return None
    return (
        lambda: specimen_answer(SpecimenRows(subject.specimens)), lambda: specimen_answer(SpecimenRows(keys))
    )  # fmt: skip


def _in_words(found: Difference) -> str:
    if not found.is_any:
        return _("Nothing differs: what is known now of these rows was known then.")
    words = _("%(added)s rows came since, %(gone)s went, %(changed)s say something else now.") % {
        "added": intcomma(found.added_count), "gone": intcomma(found.gone_count),
        "changed": intcomma(found.changed_count),
    }  # fmt: skip
    return f"{words} {_('The sentence of the answer differs too.')}" if found.is_sentence_other else words


def _columns(answer: Answer) -> list[str]:
    return [str(column.label) for column in answer.columns]


def _rows(found: Difference, columns: Sequence[str]) -> Iterator[Sequence[Any]]:
    for row in found.added:
        yield from ((row.key, _("came since"), name, "", plain(c)) for name, c in zip(columns, row.cells, strict=True))
    for row in found.gone:
        yield from ((row.key, _("went since"), name, plain(c), "") for name, c in zip(columns, row.cells, strict=True))
    for one in found.changed:
        for place in one.differing:
            then, now = plain(one.then.cells[place]), plain(one.now.cells[place])
            yield one.now.key, _("says something else"), columns[place], then, now
