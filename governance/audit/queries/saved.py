"""Saved questions: who sees which, what each asks, what it was answered last, and which wait to be asked again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from urllib.parse import urlencode

from django.db.models import F, Max, Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, may, roles_that_may
from accessions.people.models import User
from governance.audit import questions
from governance.audit.asking import Asked, Question, UnknownValueError
from governance.audit.composer.conditions import from_object, to_pairs
from governance.audit.composer.running import question_of
from governance.audit.composer.words import subject_words
from governance.audit.models import AnswerTaken, Follower, SavedQuestion, Schedule
from governance.audit.queries.asking import asked_of

CHANGED_DAYS: Final = 7
"""Days for which a change of an answer is marked."""

KEPT_DAYS: Final = 30
"""Days for which a removed question is offered to be put back."""


def visible(user: Any) -> QuerySet[SavedQuestion]:
    """The questions that a person sees: their own, and those that are shared."""
    return SavedQuestion.objects.filter(Q(owner=user.pk) | Q(is_shared=True), removed_at__isnull=True)


def removed(user: Any, now: datetime) -> QuerySet[SavedQuestion]:
    """What the person removed of late, newest first."""
    since = now - timedelta(days=KEPT_DAYS)
    return SavedQuestion.objects.filter(owner=user.pk, removed_at__gte=since).order_by("-removed_at")


def is_keeper(saved: SavedQuestion, user: Any) -> bool:
    """Whether a person may change and remove it: the owner; of a shared one also who manages people, since its owner
    may have left."""
    return bool(saved.owner_id == user.pk or (saved.is_shared and may(user, Verb.MANAGE_PEOPLE)))


# What it asks ---------------------------------------------------------------------------------------------------------


def put(saved: SavedQuestion) -> Question:
    """The question that is asked.

    Raises:
        UnknownValueError: the ready question is not there any more.
    """
    if not saved.ready:
        return question_of(from_object(saved.composed), saved.title)
    if saved.ready not in questions.QUESTION:
        words = _("The register no longer has the ready question “%(key)s”.") % {"key": saved.ready}
        raise UnknownValueError("", words)
    return questions.QUESTION[saved.ready]


def asked_by(saved: SavedQuestion, reader: Any) -> tuple[Question, Asked]:
    """The question and what it is asked with, for a reader, today.

    Raises:
        UnknownValueError: it cannot be asked any more; says why.
    """
    question = put(saved)
    return question, asked_of(question, saved.values, reader)


def address_of(saved: SavedQuestion) -> str:
    """The page that asks it and shows the rows; "" where the ready question is gone."""
    told = [(key, value) for key, value in saved.values.items() if value]
    if not saved.ready:
        return f"{reverse('audit:compose')}?{urlencode([*to_pairs(from_object(saved.composed)), *told])}"
    if saved.ready not in questions.QUESTION:
        return ""
    page = reverse("audit:ask", args=[saved.ready])
    return f"{page}?{urlencode(told)}" if told else page


def words_of(saved: SavedQuestion) -> str:
    """What it asks, in words."""
    if not saved.ready:
        return subject_words(from_object(saved.composed))
    question = questions.QUESTION.get(saved.ready)
    told = ", ".join(str(value) for value in saved.values.values() if value)
    title = str(question.title) if question else saved.ready
    return f"{title} ({told})" if told else title


# What it was answered -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Line:
    """A saved question in a list, for one role. last: what it was answered last; change: the last answer that differed
    from the one before, if that is not long ago. follower: the person's following, if any. known: the last that could
    be answered."""

    saved: SavedQuestion
    last: AnswerTaken | None
    change: AnswerTaken | None
    follower: Follower | None
    known: AnswerTaken | None = None

    @property
    def words(self) -> str:
        return words_of(self.saved)

    @property
    def address(self) -> str:
        return address_of(self.saved)


def lines(found: Iterable[SavedQuestion], user: Any, now: datetime) -> list[Line]:
    """Questions as lines for a person, by the answers for the person's role: three queries, and one where some could
    not be answered of late."""
    rows = list(found)
    keys = [row.pk for row in rows]
    last = newest(keys, user.role)
    since = now - timedelta(days=CHANGED_DAYS)
    change = newest(keys, user.role, changed=True, asked_at__gte=since)
    followed = {one.question_id: one for one in Follower.objects.filter(question__in=keys, user=user.pk)}
    failed = [key for key, one in last.items() if one.problem]
    known = {**last, **dict.fromkeys(failed), **(newest(failed, user.role, problem="") if failed else {})}
    return [Line(row, last.get(row.pk), change.get(row.pk), followed.get(row.pk), known.get(row.pk)) for row in rows]


def newest(keys: Sequence[int], role: str, **where: Any) -> Mapping[int, AnswerTaken]:
    """By question the newest answer that was taken for a role. One query."""
    rows = AnswerTaken.objects.filter(question__in=keys, role=role, **where).order_by()
    last = rows.values("question").annotate(newest=Max("pk")).values("newest")
    return {row.question_id: row for row in AnswerTaken.objects.filter(pk__in=last).order_by()}


def answers_of(saved: SavedQuestion, role: str) -> QuerySet[AnswerTaken]:
    """All answers that were taken for a role, newest first."""
    return AnswerTaken.objects.filter(question=saved, role=role).select_related("asked_by").order_by("-pk")


def on_today(user: Any, now: datetime) -> list[Line]:
    """What a person follows on Today: four queries."""
    if not may(user, Verb.KEEP_QUESTIONS):
        return []
    followed = Follower.objects.filter(user=user.pk, is_on_today=True).values("question")
    return lines(visible(user).filter(pk__in=followed).select_related("owner"), user, now)


# Who follows, and what is to be asked again ---------------------------------------------------------------------------


def followers(**where: Any) -> QuerySet[Follower]:
    """Followings that count: of people who are here, may keep questions, and see the question."""
    roles = roles_that_may(Verb.KEEP_QUESTIONS)
    sees = Q(question__is_shared=True) | Q(question__owner=F("user"))
    found = Follower.objects.filter(sees, question__removed_at__isnull=True, user__is_active=True, user__role__in=roles)
    return found.filter(**where)


@dataclass(frozen=True)
class Due:
    """A question that is to be asked again for a role. reader: a follower of that role, whose rights count: never the
    owner's."""

    saved: SavedQuestion
    reader: User


def due(today: date) -> list[Due]:
    """What waits to be asked again, longest first: each question once for each role that follows it. Two queries."""
    asked_last = dict(_last_asked())
    found: dict[tuple[int, str], tuple[datetime | None, Due]] = {}
    for one in followers().exclude(question__schedule=Schedule.NONE).select_related("question", "user").order_by("pk"):
        key = (one.question_id, one.user.role)
        last = asked_last.get(key)
        if key not in found and (last is None or timezone.localdate(last) < due_since(one.question.schedule, today)):
            found[key] = (last, Due(one.question, one.user))
    longest_ago = datetime.min.replace(tzinfo=timezone.get_current_timezone())
    ordered = sorted(found.items(), key=lambda item: (item[1][0] or longest_ago, item[0]))
    return [one for _key, (_last, one) in ordered]


def _last_asked() -> Iterator[tuple[tuple[int, str], datetime]]:
    for question, role, at in (
        AnswerTaken.objects.order_by().values_list("question", "role").annotate(at=Max("asked_at"))
    ):  # fmt: skip
        yield (question, role), at


def due_since(schedule: str, today: date) -> date:
    """The last day on which the schedule asks, up to today: an answer from that day on is fresh."""
    if schedule == Schedule.WEEKLY:
        return today - timedelta(days=today.weekday())
    return today.replace(day=1) if schedule == Schedule.MONTHLY else today
