"""The list of ready questions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from governance.audit import questions as registry
from governance.audit.asking import Group, Question, Text
from governance.audit.models import SavedQuestion

GROUP_NAMES: Final[dict[Group, Text]] = {
    Group.PERMISSION: _("Papers: which one, in which version"),
    Group.TAKING: _("Taking: days, places, people, traps, numbers"),
    Group.DUTIES: _("Duties: what is owed, late, done, and the proof"),
    Group.WHEREABOUTS: _("Whereabouts: where material and its parts are"),
    Group.USES: _("Uses: loans, sequences, requests, publications"),
    Group.RECORDS: _("Records: who entered, changed and decided what"),
    Group.QUALITY: _("Data quality: what cannot be right"),
}


@dataclass(frozen=True)
class Grouped:
    """The questions of a group. is_long: those of data quality, which have a page of their own with their counts."""

    name: Text
    questions: Sequence[Question]
    is_long: bool = False


def grouped(words: Sequence[str] = ()) -> list[Grouped]:
    """Groups with the questions that hold all words in title or explanation; groups without any are left out."""
    found = [one for one in registry.QUESTIONS if _holds(one, words)]
    groups = [
        Grouped(name, [one for one in found if one.group is group], group is Group.QUALITY)
        for group, name in GROUP_NAMES.items()
    ]
    return [group for group in groups if group.questions]


def _holds(question: Question, words: Sequence[str]) -> bool:
    text = f"{question.title} {question.shows} {GROUP_NAMES[question.group]}".casefold()
    return all(word in text for word in words)


def saved_count(user: Any) -> int:
    """Saved questions that a person sees: own ones and shared ones."""
    return SavedQuestion.objects.filter(Q(owner=user) | Q(is_shared=True)).count()
