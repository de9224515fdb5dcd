"""The help pages as a kind of the search: the two rooms know nothing of each other, so they meet here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _

from governance.guide.queries.help_pages import Topic, topics
from governance.search.asked import Asked, ranked
from governance.search.queries.kinds import Hit, Kind, Matches, of_ranked, why


def find_help(asked: Asked, user: Any) -> Matches:
    """Help pages by code, name and explanation. No query."""
    rows = [topic for group in topics() for topic in group.topics]
    found = ranked(((topic, topic.code, f"{topic.name} {topic.text}") for topic in rows), asked)
    return of_ranked(found, lambda some: _hits(some, asked), f"{reverse('guide:help')}?{urlencode({'q': asked.text})}")


def _hits(some: Sequence[Topic], asked: Asked) -> list[Hit]:
    return [
        Hit(topic.name, topic.address, topic.answer, why(asked, (_("It says"), topic.text), (_("Code"), topic.code)))
        for topic in some
    ]


HELP = Kind("help", _("Help pages"), _("code, name, explanation"), find_help)
