"""Any commercial use or request, and the answer that was given."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import Count, F, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import recipient_link, request_link, use_link
from governance.audit.questions.telling import counted, sentences
from governance.audit.resolving import day_of
from governance.engine.uses import Answer as Word
from governance.engine.uses import RecipientKind, Use
from governance.papers.models import RECIPIENT_NAMES
from governance.papers.restriction import is_readable, opens
from governance.usedesk.deeds import Deed
from governance.usedesk.models import ANSWER_NAMES, MadeUse, ProviderQuestion, RequestDecision, UseRequest
from governance.usedesk.queries.listing import Line, Wanted, line_of, use_requests
from governance.usedesk.queries.made import Wanted as WantedUses
from governance.usedesk.queries.made import standing_words, uses

_COLUMNS: Final = (
    Column("on", gettext_lazy("Asked or made on"), ColumnKind.DAY),
    Column("row", gettext_lazy("Request or use")),
    Column("number", gettext_lazy("Number")),
    Column("title", gettext_lazy("In words")),
    Column("who", gettext_lazy("For or by")),
    Column("kind", gettext_lazy("Kind")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("commercial", gettext_lazy("Commercial")),
    Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER),
    Column("answer", gettext_lazy("Answer")),
    Column("approved", gettext_lazy("May go"), ColumnKind.NUMBER),
    Column("declined", gettext_lazy("Stay here"), ColumnKind.NUMBER),
    Column("reason", gettext_lazy("Reason")),
    Column("provider", gettext_lazy("Provider asked")),
    Column("answered", gettext_lazy("Answered on"), ColumnKind.MOMENT),
)

_REQUESTS: Final = ngettext_lazy(
    "%(n)s request is commercial or comes from a company", "%(n)s requests are commercial or come from a company",
    "count",
)  # fmt: skip
_USES: Final = ngettext_lazy("%(n)s commercial use is on record", "%(n)s commercial uses are on record", "count")
_APPROVED: Final = ngettext_lazy(
    "Of %(n)s request some material was approved.", "Of %(n)s requests some material was approved.", "count"
)
_DECLINED: Final = ngettext_lazy(
    "Of %(n)s request everything that was decided stays here.",
    "Of %(n)s requests everything that was decided stays here.", "count",
)  # fmt: skip
_UNDECIDED: Final = ngettext_lazy(
    "Of %(n)s request nothing is decided yet.", "Of %(n)s requests nothing is decided yet.", "count"
)
_OUTSIDE: Final = ngettext_lazy(
    "%(n)s use was not within the terms of its day as known.",
    "%(n)s uses were not within the terms of their day as known.", "count",
)  # fmt: skip
_NOT_TOLD: Final = ngettext_lazy(
    "%(n)s request does not tell whether it is commercial.", "%(n)s requests do not tell whether they are commercial.",
    "count",
)  # fmt: skip
_KEPT: Final = ngettext_lazy(
    "The reply to %(n)s question to a provider is for readers of its paper.",
    "The replies to %(n)s questions to providers are for readers of their papers.", "count",
)  # fmt: skip


@dataclass(frozen=True)
class _Answered:
    """How a request was answered: decisions that stand, and what providers were asked."""

    decisions: Sequence[RequestDecision] = ()
    questions: Sequence[ProviderQuestion] = ()

    @property
    def reasons(self) -> str:
        return " ".join(dict.fromkeys(one.reason for one in self.decisions if one.reason))

    @property
    def answers(self) -> str:
        return ", ".join(dict.fromkeys(str(ANSWER_NAMES[Word(one.answer)]) for one in self.decisions))

    def replies(self, reader: Any) -> str:
        return "; ".join(_reply(one, reader) for one in self.questions)


def answer(asked: Asked) -> Answer:
    """Requests and uses that are commercial, or of a company, the newest first: seven queries."""
    first, last = day_of(asked, "from") or date.min, day_of(asked, "to") or date.max
    found = [line_of(one, asked.on) for one in _requests(first, last, asked.on)]
    made = list(_made(first, last, asked.on))
    answered = _answered([one.request.pk for one in found])
    rows = [(one.request.asked_on, _of_request(one, answered[one.request.pk], asked.reader)) for one in found]
    rows += [(one.on, _of_use(one)) for one in made]
    rows.sort(key=lambda pair: pair[0], reverse=True)
    hidden = sum(1 for own in answered.values() for one in own.questions if not is_readable(one.paper, asked.reader))
    return Answer(
        sentence=_sentence(found, made), columns=_COLUMNS, rows=ListedRows([row for _day, row in rows]),
        missing=tuple(_missing(first, last)), kept_back=(counted(_KEPT, hidden),) if hidden else (),
        notes=(
            _("A request is listed if it says that it is commercial, asks for commercial use, or comes from a company; "
              "a use if it was entered as commercial, or its request says so. Answers are the decisions that stand."),
        ),
    )  # fmt: skip


def _requests(first: date, last: date, on: date) -> Any:
    rows = use_requests(Wanted(), on).filter(asked_on__range=(first, last))
    asks = rows.annotate(_asks=F("uses").bitand(1 << Use.COMMERCIAL_USE))
    return asks.filter(Q(commercial="yes") | Q(_asks__gt=0) | Q(recipient__kind=int(RecipientKind.COMPANY)))


def _made(first: date, last: date, on: date) -> Any:
    rows = uses(WantedUses(), on).filter(on__range=(first, last))
    told = Q(commercial="yes") | (Q(commercial="") & Q(request__commercial="yes"))
    return rows.filter(Q(deed=Deed.COMMERCIAL) | Q(use=int(Use.COMMERCIAL_USE)) | told)


def _answered(requests: Sequence[int]) -> Mapping[int, _Answered]:
    """By request: two queries."""
    decisions: dict[int, list[RequestDecision]] = defaultdict(list)
    rows = RequestDecision.objects.filter(request__in=requests, withdrawn_at__isnull=True).order_by("decided_at", "pk")
    for one in rows:
        decisions[one.request_id].append(one)
    questions: dict[int, list[ProviderQuestion]] = defaultdict(list)
    asked = ProviderQuestion.objects.filter(request__in=requests).select_related("paper").order_by("asked_on", "pk")
    for question in asked:
        questions[question.request_id].append(question)
    return {key: _Answered(decisions[key], questions[key]) for key in requests}


def _reply(question: ProviderQuestion, reader: Any) -> str:
    """That it was asked, for everybody; the reply, for readers of the paper."""
    reference = question.paper.reference
    if not opens(question.paper, reader):
        return _("%(paper)s: asked") % {"paper": reference}
    return f"{reference}: {question.get_reply_display()}"


# Rows -----------------------------------------------------------------------------------------------------------------


def _of_request(line: Line, answered: _Answered, reader: Any) -> Row:
    request = line.request
    declined = line.specimens - line.undecided - line.approved
    return Row(
        f"request:{request.pk}",
        (
            request.asked_on, _("Request"), request_link(request), request.title, *_who(request.recipient),
            _told(request), line.specimens, answered.answers or str(line.state_words), line.approved, declined,
            answered.reasons, answered.replies(reader), request.answered_at,
        ),
    )  # fmt: skip


def _of_use(made: Any) -> Row:
    return Row(
        f"use:{made.pk}",
        (
            made.on, _("Use"), use_link(made), made.title or str(made.get_deed_display()), *_who(made.recipient),
            _("Yes"), made.item_count, standing_words(made), None, None, "", "", None,
        ),
    )  # fmt: skip


def _who(recipient: Any) -> tuple[Any, str, str]:
    if recipient is None:
        return None, "", ""
    kind = "" if recipient.kind is None else str(RECIPIENT_NAMES[RecipientKind(recipient.kind)])
    return recipient_link(recipient), kind, recipient.country


def _told(request: UseRequest) -> str:
    """What the request itself says; a request for commercial use says that it is."""
    if request.uses >> Use.COMMERCIAL_USE & 1:
        return _("Yes")
    return {"yes": _("Yes"), "no": _("No, by its own words")}.get(request.commercial, _("Not told"))


# What is said of it ---------------------------------------------------------------------------------------------------


def _sentence(found: Sequence[Line], made: Sequence[MadeUse]) -> str:
    if not found and not made:
        return _("No commercial use and no commercial request is on record.")
    approved = sum(1 for one in found if one.approved)
    decided = sum(1 for one in found if not one.approved and one.undecided < one.specimens)
    outside = sum(1 for one in made if one.is_outside)
    numbers = (
        (_APPROVED, approved), (_DECLINED, decided), (_UNDECIDED, len(found) - approved - decided), (_OUTSIDE, outside),
    )  # fmt: skip
    both = {"requests": counted(_REQUESTS, len(found)), "uses": counted(_USES, len(made))}
    return sentences(
        _("%(requests)s; %(uses)s.") % both, *(counted(words, number) for words, number in numbers if number)
    )


def _missing(first: date, last: date) -> Iterator[Missing]:
    rows = UseRequest.objects.filter(asked_on__range=(first, last), commercial="")
    asks = rows.annotate(_asks=F("uses").bitand(1 << Use.COMMERCIAL_USE)).filter(_asks=0)
    silent = asks.exclude(recipient__kind=int(RecipientKind.COMPANY)).aggregate(n=Count("pk"))["n"]
    if silent:
        yield Missing(counted(_NOT_TOLD, silent), silent)


QUESTION: Final = Question(
    "commercial", Group.USES, gettext_lazy("Was there any commercial use or request, and what was answered?"),
    gettext_lazy("Requests and uses that are commercial, or of a company, with the decisions on them."), answer,
    (
        Parameter("from", ParameterKind.DAY, gettext_lazy("From"), help=gettext_lazy("Blank: from the first")),
        Parameter("to", ParameterKind.DAY, gettext_lazy("To"), help=gettext_lazy("Blank: up to the last")),
    ),
)  # fmt: skip
