"""Questions to providers: asked on a day, replied to, corrected."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import remove
from governance.engine.uses import Use
from governance.papers.models import USE_NAMES, Paper
from governance.papers.restriction import check_readable
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.letters import Letter, received
from governance.usedesk.actions.locking import held
from governance.usedesk.models import ProviderQuestion, UseRequest
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.queries.asking import rests_on_paper, to_ask

EDITABLE: Final = ("reply", "replied_on", "reply_words", "reply_scan")


def ask(
    *, request: UseRequest, paper: Paper, uses: int, asked_of: str, asked_on: date, letter: Letter | None = None,
    by: Any, why: str = "",
) -> ProviderQuestion:  # fmt: skip
    """Record that a provider was asked, under one paper. uses: bits, of those that the request asks for.

    Raises:
        DeskError: the request is closed or answered, the paper does not bear on it, or the same question waits.
        RestrictedPaperError: what is in the paper is not for this person.
        ValidationError: a value does not hold, or the letter was refused.
    """
    check(by, Verb.TAKE_REQUESTS)
    check_readable(paper, by)
    _check_day("asked_on", asked_on)
    scan = received(letter, field="letter", by=by, why=why or gettext_noop("asked"))
    with transaction.atomic():
        current = held(request)
        _check_question(current, paper, uses)
        made = ProviderQuestion(
            request=current, paper=paper, uses=uses, asked_of=" ".join(asked_of.split()), asked_on=asked_on,
            letter=scan, recorded_by=by,
        )  # fmt: skip
        add(made, by=by, why=why or gettext_noop("asked"))
    return made


def _check_question(request: UseRequest, paper: Paper, uses: int) -> None:
    if uses & ~request.uses:
        raise DeskError(_("The request does not ask for all of these uses. Change the request first."))
    if to_ask(desk_answer(request), paper) is None:
        raise DeskError(_("%(paper)s does not bear on any specimen of the request.") % {"paper": paper.reference})
    waiting = ProviderQuestion.objects.filter(request=request, paper=paper, reply="")
    for other in waiting:
        if both := uses & other.uses:
            names = ", ".join(str(USE_NAMES[use]) for use in Use if both >> use & 1)
            words = _("This was asked on %(day)s already and waits for a reply: %(uses)s.")
            raise DeskError(words % {"day": other.asked_on, "uses": names})


def record_reply(
    *, question: ProviderQuestion, values: Mapping[str, Any], letter: Letter | None = None, by: Any, why: str = "",
) -> ProviderQuestion:  # fmt: skip
    """Record what the provider replied, or correct it. Its agreement counts for this request and this paper alone.

    Raises:
        DeskError: the request is closed or answered; or another reply is to stand in place of one on which decisions
            rest.
        RestrictedPaperError: what is in the paper is not for this person.
        ValidationError: a value does not hold, or the letter was refused.
    """
    check(by, Verb.REGISTER_PAPERS)
    check_readable(question.paper, by)
    _check_day("replied_on", values.get("replied_on"))
    told = dict(values)
    scan = received(letter, field="letter", by=by, why=why or gettext_noop("replied"))
    if scan is not None:
        told["reply_scan"] = scan
    with transaction.atomic():
        request = held(question.request)
        current = ProviderQuestion.objects.select_for_update().get(pk=question.pk)
        if current.reply and told["reply"] != current.reply:
            _refuse_where_decided(request, current)
        change(current, told, editable=EDITABLE, by=by, why=why or gettext_noop("replied"))
    return current


def take_question_back(*, question: ProviderQuestion, by: Any, why: str) -> None:
    """A question that was never sent, or was entered twice, goes; its history stays.

    Raises:
        DeskError: it has its reply, or no reason is given.
    """
    check(by, Verb.TAKE_REQUESTS)
    check_readable(question.paper, by)
    if not why.strip():
        raise DeskError(_("Say why it goes."))
    with transaction.atomic():
        held(question.request)
        current = ProviderQuestion.objects.select_for_update().get(pk=question.pk)
        if current.reply:
            raise DeskError(_("It has its reply, so it stays on record."))
        remove(current, by=by, why=why)


def _refuse_where_decided(request: UseRequest, question: ProviderQuestion) -> None:
    decided = rests_on_paper(request, question.paper)
    if decided:
        raise DeskError(
            _(
                "Decisions stand that rest on this paper and its reply (%(n)d). Withdraw them first, correct the "
                "reply, then decide anew."
            )
            % {"n": len(decided)}
        )


def _check_day(field: str, day: date | None) -> None:
    if day is not None and day > timezone.localdate():
        raise ValidationError({field: _("%(day)s is still to come.") % {"day": day}})
