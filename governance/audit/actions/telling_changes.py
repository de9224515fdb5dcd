"""The mails that tell of changed answers: one a person, with all changes since the last one that reached them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from smtplib import SMTPException

from django.contrib.humanize.templatetags.humanize import intcomma
from django.core.mail import EmailMessage
from django.db import transaction
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.models import User
from governance.audit.models import AnswerTaken, Follower
from governance.audit.queries.saved import followers


@dataclass(frozen=True)
class News:
    """What one person is told: for each question they follow by mail the newest answer for their role, if any answer
    changed since they were told last."""

    user: User
    changes: Sequence[tuple[Follower, AnswerTaken]]


@dataclass(frozen=True)
class Outcome:
    """What became of one mail. problem: why it did not go out; "" where it did, or would."""

    news: News
    message: EmailMessage
    problem: str = ""


def tell_changes(*, site: str, dry_run: bool = False) -> list[Outcome]:
    """Send the mails; dry_run: only say which.

    The changes are claimed before a mail is sent, so that two runs at once do not both send it, and given back where
    it fails, so that the next run tries again. No lock is held while a mail server is spoken to.
    """
    outcomes = []
    for news in pending_news():
        message = EmailMessage(subject(news), text(news, site), to=[news.user.email])
        if dry_run:
            outcomes.append(Outcome(news, message))
        elif _claim(news):
            outcomes.append(_sent(news, message))
    return outcomes


def pending_news() -> list[News]:
    """Whom there is something to tell: three queries."""
    mailed = followers(is_mailed=True).exclude(user__email="").select_related("question", "user").order_by("user", "pk")
    found = list(mailed)
    newest = _newest_changes(found)
    by_user: dict[User, list[tuple[Follower, AnswerTaken]]] = defaultdict(list)
    for one in found:
        answer = newest.get((one.question_id, one.user.role))
        if answer is not None and answer.pk > one.told_up_to:
            by_user[one.user].append((one, answer))
    return [News(user, changes) for user, changes in by_user.items()]


def _newest_changes(found: Sequence[Follower]) -> dict[tuple[int, str], AnswerTaken]:
    """By question and role the newest answer that differed from the one before. One query."""
    rows = AnswerTaken.objects.filter(question__in={one.question_id for one in found}, changed=True)
    oldest = min((one.told_up_to for one in found), default=0)
    return {(row.question_id, row.role): row for row in rows.filter(pk__gt=oldest).order_by("pk")}


def _claim(news: News) -> bool:
    """Whether nobody else tells this person at the moment: all of the mail is claimed, or nothing."""
    with transaction.atomic():
        is_ours = all(
            Follower.objects.filter(pk=one.pk, told_up_to=one.told_up_to).update(told_up_to=answer.pk)
            for one, answer in news.changes
        )
        if not is_ours:
            transaction.set_rollback(True)
    return is_ours


def _sent(news: News, message: EmailMessage) -> Outcome:
    try:
        message.send()
    except (SMTPException, OSError, ValueError) as error:  # ValueError: an address that no mail can have
        for one, answer in news.changes:
            Follower.objects.filter(pk=one.pk, told_up_to=answer.pk).update(told_up_to=one.told_up_to)
        return Outcome(news, message, f"{type(error).__name__}: {error}")
    return Outcome(news, message)


def subject(news: News) -> str:
    """ "Audit: 2 answers changed"."""
    n = len(news.changes)
    return ngettext("Audit: %(n)d answer changed", "Audit: %(n)d answers changed", n) % {"n": n}


def text(news: News, site: str) -> str:
    """The mail: for each question its title, number and sentence as the person's role sees it, and its address."""
    return "\n".join(_lines(news, site)) + "\n"


def _lines(news: News, site: str) -> Iterator[str]:
    told = {"name": news.user.shown_name, "role": news.user.get_role_display()}
    yield _("Answers that changed, for %(name)s (%(role)s)") % told
    for one, answer in news.changes:
        yield ""
        yield f"- {' '.join(one.question.title.split())}"
        yield f"  {_told(answer)}"
        yield f"  {_('Asked on %(day)s') % {'day': date_format(answer.asked_at, 'j F Y')}}"
        yield f"  {site}{reverse('audit:saved-one', args=[one.question_id])}"
    yield ""
    yield _("What you follow, and how: %(address)s") % {"address": site + reverse("audit:saved")}


def _told(answer: AnswerTaken) -> str:
    if answer.problem:
        return _("It could not be answered: %(why)s") % {"why": answer.problem}
    sentence = " ".join(answer.sentence.split())
    return _("Number %(n)s. %(sentence)s") % {"n": intcomma(answer.count), "sentence": sentence}
