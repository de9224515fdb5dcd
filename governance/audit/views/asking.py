"""The ready questions: their list, and the page that asks one and shows its answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.paging import paged
from governance.audit import questions as registry
from governance.audit.asking import Answer, Question, Row, Rows, UnknownValueError
from governance.audit.clocks import AsKnownError, not_kept
from governance.audit.forms.asking import AskForm, FilterForm
from governance.audit.queries.asking import KNOWN, ON, PAGE_KEYS, Answered, answered
from governance.audit.queries.beside_now import beside_now, held
from governance.audit.queries.listing import grouped, saved_count
from governance.audit.queries.ordering import can_order, ordered
from governance.audit.writing.told import at_words, clock_words


@require_GET
@requires(Verb.READ)
def questions(request: HttpRequest) -> HttpResponse:
    """All ready questions in their groups, narrowed by words."""
    form = FilterForm(request.GET)
    groups = grouped(form.words)
    context = {"form": form, "groups": groups, "found": sum(len(group.questions) for group in groups),
               "total": len(registry.QUESTIONS), "saved": saved_count(request.user)}  # fmt: skip
    return render(request, "audit/questions.html", context)


def question_of(key: str) -> Question:
    """The ready question of an address.

    Raises:
        Http404: there is none.
    """
    try:
        return registry.QUESTION[key]
    except KeyError:
        raise Http404(f"No question {key}") from None


@require_GET
@requires(Verb.READ)
def ask(request: HttpRequest, key: str) -> HttpResponse:
    """A question with its form, and its answer once it is put."""
    question = question_of(key)
    form = AskForm(question, request.GET, request.user)
    context: dict[str, Any] = {"question": question, "form": form, "asked_with": asked_with(request.GET)}
    if form.is_valid():
        try:
            context |= shown(request, question, form)
        except UnknownValueError as error:
            if form.is_named:
                form.refuse_values(error)
            else:  # of several things that it can be asked with it wants one, and nothing was said yet
                context["form"] = form = form.unasked()
        except AsKnownError as error:
            form.add_error(KNOWN, str(error))
    return render(request, "audit/ask.html", context, status=form.status)


def asked_with(address: QueryDict) -> str:
    """What an address asks, without how its rows are shown: for files, and to save the question."""
    rest = address.copy()
    for name in PAGE_KEYS:
        rest.pop(name, None)
    return rest.urlencode()


class Slices(Sequence[Row]):
    """Rows as the pager takes them: counted, and cut by slices."""

    def __init__(self, rows: Rows) -> None:
        self.rows = rows

    def __len__(self) -> int:
        return len(self.rows)

    def __getitem__(self, place: Any) -> Any:
        if isinstance(place, slice):
            return self.rows.between(place.start or 0, len(self) if place.stop is None else place.stop)
        return self.rows.between(place, place + 1)[0]


def answer_page(answer: Answer, request: HttpRequest) -> dict[str, Any]:
    """What ``audit/_answer.html`` shows of the rows, read inside the clocks: ``page`` and what the pager needs, with
    ``sort`` and ``can_order``."""
    sort = request.GET.get("sort", "")
    pages = paged(request, Slices(ordered(answer, sort)))
    return pages | {"sort": sort, "can_order": can_order(answer.rows)}


def shown(request: HttpRequest, question: Question, form: AskForm) -> dict[str, Any]:
    """The answer, and beside it the answer of now where a day of the register was asked."""
    asked = form.asked

    def read(found: Answered[None]) -> tuple[dict[str, Any], Answer | None]:
        return answer_page(found.answer, request), held(found.answer) if asked.known_at else None

    found = answered(question, asked, read)
    pages, then = found.read
    context = pages | {
        "answer": found.answer, "asked": asked, "said_at": at_words(found), "on": asked.on,
        "known_at": asked.known_at, "clocks_said": clock_words(asked, is_on_said=bool(form.told[ON])),
    }  # fmt: skip
    if asked.known_at:
        context |= {"beside": beside_now(question, asked, then), "not_kept": not_kept()}
    return context
