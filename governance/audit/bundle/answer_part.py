"""A question: its answer with all rows, what it was asked with, and what its rows name."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from governance.audit.asking import Answer
from governance.audit.bundle.frame import Bundle
from governance.audit.bundle.packing import pieces
from governance.audit.bundle.subjects import Subject, material_of, named_in, papers_of
from governance.audit.queries.asking import Answered, answered, asked_of
from governance.audit.writing.files import answer_file
from governance.audit.writing.told import asked_lines, missing_words
from governance.papers.models import Paper

MOST_NAMED: Final = 2_000
"""Rows of an answer whose records come with it; of the others the rows alone."""


def row_count(subject: Subject, reader: Any) -> int:
    """How many rows the answer has.

    Raises:
        UnknownValueError: something that it is asked with is not there.
        AsKnownError: the register of that moment cannot be shown.
    """
    assert subject.question is not None
    asked = asked_of(subject.question, subject.values, reader)
    return answered(subject.question, asked, lambda found: len(found.answer.rows)).read


def with_answer(bundle: Bundle) -> None:
    """Write the answer; from then on the bundle is about what its rows name, too."""
    subject = bundle.subject
    assert subject.question is not None
    asked = asked_of(subject.question, subject.values, bundle.reader)
    answered(subject.question, asked, lambda found: _written(bundle, found))


def _written(bundle: Bundle, found: Answered[None]) -> None:
    answer = found.answer
    part = bundle.part(_("The question and its answer"), answer.sentence)
    for form in ("csv", "xlsx"):
        name = f"rows/answer.{form}"
        bundle.step(_("The answer"), 0, len(answer.rows))
        with answer_file(found, form) as file:
            bundle.packed.add(name, pieces(file))
        part.tell(name, _("How it was asked, and all rows of the answer"))
    context = {"question": found.question, "lines": list(asked_lines(found)), "answer": answer}
    bundle.page("rows/question.html", "question", context)
    part.tell("rows/question.html", _("How it was asked, on one page"))
    bundle.left_out += map(str, answer.kept_back)
    bundle.not_known += map(missing_words, answer.missing)
    _take_up(bundle, answer)


def _take_up(bundle: Bundle, answer: Answer) -> None:
    named = named_in(answer.rows.between(0, MOST_NAMED))
    if len(answer.rows) > MOST_NAMED:
        words = _("Papers, scans and histories are those that the first %(n)s of %(all)s rows name.")
        bundle.not_known.append(words % {"n": intcomma(MOST_NAMED), "all": intcomma(len(answer.rows))})
    specimens = tuple(named["specimen"])
    papers = dict.fromkeys((*named["paper"], *papers_of(specimens)))
    ordered = Paper.objects.filter(pk__in=papers).order_by("reference").values_list("pk", flat=True)
    bundle.subject = replace(
        bundle.subject, specimens=specimens, papers=tuple(ordered), accessions=tuple(named["accession"]),
        material=material_of(specimens),
    )  # fmt: skip
