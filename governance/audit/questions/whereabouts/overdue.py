"""Which loans are overdue, and whether the terms in force still allow them to be out."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy, pgettext_lazy

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
from governance.audit.questions.telling import counted, day_words, sentences
from governance.audit.resolving import country_of
from governance.engine.uses import Use
from governance.papers.restriction import is_readable
from governance.usedesk.deeds import LOANS
from governance.usedesk.models import ANSWER_NAMES, MadeUse, UseItem
from governance.usedesk.queries.judging import ItemAnswer, Told, judged, standing_of
from governance.usedesk.queries.made import grace_days, overdue, overdue_days
from governance.usedesk.queries.one_use import STANDINGS, Reason, papers_in, reason_of
from governance.usedesk.queries.specimen_uses import NO_BORDER
from governance.usedesk.queries.whereabouts import still_out

_MOST_REASONS: Final = 3
_MOST_SORTS: Final = 60
"""For so many sorts of loans the desk is asked, the longest overdue first: each takes some hundredths of a second."""

_COLUMNS: Final = (
    Column("loan", gettext_lazy("Loan")),
    Column("borrower", gettext_lazy("Borrower")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("on", gettext_lazy("Left on"), ColumnKind.DAY),
    Column("due", gettext_lazy("Due back on"), ColumnKind.DAY),
    Column("late", pgettext_lazy("days", "Late"), ColumnKind.NUMBER, "days"),
    Column("out", gettext_lazy("Specimens out"), ColumnKind.NUMBER),
    Column("then", gettext_lazy("Answer on the day it left")),
    Column("now", gettext_lazy("Answer by the terms in force")),
    Column("standing", gettext_lazy("Towards the terms in force")),
    Column("why", gettext_lazy("Why")),
    Column("clauses", gettext_lazy("Clauses")),
    Column("request", gettext_lazy("Request")),
)

_LATE: Final = ngettext_lazy("%(n)s loan is overdue on %(day)s.", "%(n)s loans are overdue on %(day)s.", "count")
_ALLOWED: Final = ngettext_lazy(
    "The terms in force still allow %(n)s of them to be out.",
    "The terms in force still allow %(n)s of them to be out.", "count",
)  # fmt: skip
_OUTSIDE: Final = ngettext_lazy(
    "Of %(n)s the terms in force do not allow it, or ask for an agreement that is not on file.",
    "Of %(n)s the terms in force do not allow it, or ask for an agreement that is not on file.", "count",
)  # fmt: skip
_OPEN: Final = ngettext_lazy(
    "Of %(n)s it is not shown: papers are silent, or were not read.",
    "Of %(n)s it is not shown: papers are silent, or were not read.", "count",
)  # fmt: skip
_NO_DAY: Final = ngettext_lazy(
    "%(n)s loan that is out has no day on which it is due back.",
    "%(n)s loans that are out have no day on which they are due back.", "count",
)  # fmt: skip
_KEPT: Final = ngettext_lazy(
    "The clauses of %(n)s paper are for its readers.", "The clauses of %(n)s papers are for their readers.", "count"
)
_NOT_WORKED_OUT: Final = ngettext_lazy(
    "For %(n)s loan the answer by the terms in force was not worked out: ask of one country.",
    "For %(n)s loans the answer by the terms in force was not worked out: ask of one country.", "count",
)  # fmt: skip
_GRACE: Final = ngettext_lazy(
    "By house rule a loan is shown as overdue %(n)s day after its day.",
    "By house rule a loan is shown as overdue %(n)s days after its day.", "count",
)  # fmt: skip
_RANKS: Final = {"within": 0, "approved": 1, "open": 2, "outside": 3}


@dataclass(frozen=True)
class _Today:
    """What the terms in force on the day say of what of a loan is still out. answers: each with its standing, the
    strictest standing first."""

    out: int
    answers: tuple[tuple[str, ItemAnswer], ...]

    @property
    def standing(self) -> str:
        return self.answers[0][0] if self.answers else ""

    @property
    def reasons(self) -> list[dict[str, Any]]:
        """Those of the specimens that stand least within the terms, each once."""
        own = dict.fromkeys(one.reasons for standing, one in self.answers if standing == self.standing)
        found = (reason for text in own for reason in json.loads(text))
        return list({json.dumps(reason, sort_keys=True): reason for reason in found}.values())

    @property
    def words(self) -> str:
        """The answers, each once, the strictest first."""
        told = sorted({one.answer for _standing, one in self.answers if one.answer is not None}, reverse=True)
        return ", ".join(str(ANSWER_NAMES[answer]) for answer in told)


def answer(asked: Asked) -> Answer:
    """Loans of which something is out after its day: about ten queries, and those of one answer of the desk for each
    sort of loan: of one recipient's kind and country, or of one request."""
    country = country_of(asked)
    loans = [one for one in overdue(asked.on) if not country or _country(one) == country]
    today = _todays(loans, asked.on)
    papers = papers_in(reason for one in today.values() for reason in one.reasons)
    closed = sum(1 for paper in papers.values() if not is_readable(paper, asked.reader))
    grace = grace_days()
    rows = [_row(one, today.get(one.pk), [reason_of(why, papers, asked.reader) for why in
                 (today[one.pk].reasons if one.pk in today else ())], asked.on, grace) for one in loans]  # fmt: skip
    return Answer(
        sentence=_sentence(loans, today, asked.on), columns=_COLUMNS, rows=ListedRows(rows),
        missing=tuple(_missing(len(loans) - len(today))),
        kept_back=(counted(_KEPT, closed),) if closed else (), notes=tuple(_notes(grace)),
    )  # fmt: skip


def _country(loan: MadeUse) -> str:
    return loan.recipient.country if loan.recipient else ""


# The terms in force ---------------------------------------------------------------------------------------------------


def _todays(loans: Sequence[MadeUse], on: date) -> dict[int, _Today]:
    """By loan: the rule is that of ``usedesk.queries.judging``, asked for the day as if the loan left on it. Loans that
    the desk answers alike are asked about together; of all that is out under one use, as it counts them anyway."""
    out = _still_out(loans)
    sorts: dict[tuple[Any, ...], list[MadeUse]] = defaultdict(list)
    for loan in loans:
        sorts[_sort(loan)].append(loan)
    found: dict[int, _Today] = {}
    for alike in list(sorts.values())[:_MOST_SORTS]:
        ids = sorted({key for loan in alike for key in out[loan.pk]})
        items = judged(ids, _told(alike[0], on), way=NO_BORDER).items
        found |= {loan.pk: _today([items[key] for key in out[loan.pk]]) for loan in alike}
    return found


def _still_out(loans: Sequence[MadeUse]) -> dict[int, list[int]]:
    """By loan the specimens that are out: two queries."""
    found: dict[int, list[int]] = defaultdict(list)
    rows = UseItem.objects.filter(use__in=[loan.pk for loan in loans])
    for deed in (MadeUse.Deed.LOAN, MadeUse.Deed.ONWARD_LOAN) if loans else ():
        for use, specimen in still_out(deed, rows).order_by("pk").values_list("use", "specimen"):
            found[use].append(specimen)
    return found


def _sort(loan: MadeUse) -> tuple[Any, ...]:
    """What the answer of the desk depends on."""
    told = (loan.deed, loan.use, loan.commercial, loan.identification_only, loan.parts, loan.request_id)
    recipient = loan.recipient
    if recipient is None:
        return told
    return (*told, recipient.pk if loan.request_id else (recipient.kind, recipient.country))


def _told(loan: MadeUse, on: date) -> Told:
    return Told(
        loan.deed, on, None if loan.use is None else Use(loan.use), loan.recipient, loan.request, loan.commercial,
        loan.identification_only, loan.parts,
    )  # fmt: skip


def _today(items: Sequence[ItemAnswer]) -> _Today:
    told = [(_standing(one), one) for one in items]
    return _Today(len(items), tuple(sorted(told, key=lambda pair: -_RANKS[pair[0]])))


def _standing(one: ItemAnswer) -> str:
    if one.answer is None:
        return "open"
    return standing_of(one.answer, is_outside=one.is_outside, is_approved=one.decision is not None)


# What is said of it ---------------------------------------------------------------------------------------------------


def _row(loan: Any, today: _Today | None, reasons: Sequence[Reason], on: date, grace: int) -> Row:
    recipient = loan.recipient
    told = list(dict.fromkeys(one.sentence for one in reasons if one.sentence))[:_MOST_REASONS]
    return Row(
        f"use:{loan.pk}",
        (
            use_link(loan), recipient_link(recipient) if recipient else None, _country(loan), loan.on, loan.due_on,
            overdue_days(loan.due_on, loan.out_count, on, grace), loan.out_count, str(loan.get_answer_display() or ""),
            today.words if today else _("Not worked out"), str(STANDINGS[today.standing]) if today else "",
            " ".join(told), _clauses(reasons), request_link(loan.request) if loan.request else None,
        ),
    )  # fmt: skip


def _clauses(reasons: Sequence[Reason]) -> str:
    """The clauses in their words, or the line that stands in their place."""
    told = ((one.reference, one.hidden or one.clause) for one in reasons)
    return " ".join(dict.fromkeys(f"{reference}: {words}" for reference, words in told if reference and words))


def _sentence(loans: Sequence[MadeUse], today: Mapping[int, _Today], on: date) -> str:
    if not loans:
        return _("No loan is overdue on %(day)s.") % {"day": day_words(on)}
    counts = Counter(one.standing for one in today.values())
    allowed = counts["within"] + counts["approved"]
    numbers = ((_ALLOWED, allowed), (_OUTSIDE, counts["outside"]), (_OPEN, counts["open"]))
    told = [counted(words, number) for words, number in numbers if number or words is _ALLOWED]
    return sentences(counted(_LATE, len(loans), day=day_words(on)), *told)


def _missing(not_worked_out: int) -> Iterator[Missing]:
    if not_worked_out:
        yield Missing(counted(_NOT_WORKED_OUT, not_worked_out), not_worked_out)
    out = UseItem.objects.filter(use__due_on__isnull=True, use__deed__in=LOANS)
    undated = {use for deed in LOANS for use in still_out(deed, out).order_by().values_list("use", flat=True)}
    if undated:
        yield Missing(counted(_NO_DAY, len(undated)), len(undated))


def _notes(grace: int) -> Iterator[str]:
    yield _(
        "The desk is asked again about what is still out, by the terms in force on the day for which it is asked, as "
        "if it left on that day, and without the papers of the way there. What came back by now does not count as out "
        "on an earlier day."
    )
    if grace:
        yield counted(_GRACE, grace)


QUESTION: Final = Question(
    "loans-overdue", Group.WHEREABOUTS,
    gettext_lazy("Which loans are overdue, and do their terms still allow them to be out?"),
    gettext_lazy("Loans of which something is out after its day, with the answer on the day they left and the answer "
                 "by the terms in force."), answer,
    (
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country of the borrower"),
                  help=gettext_lazy("Blank: any")),
    ),
)  # fmt: skip
