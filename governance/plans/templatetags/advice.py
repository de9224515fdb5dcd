"""Advice in templates: ``{% for one in advice|advice_for:user %}``, ``{{ one|days_away }}``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import template
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.people.access import Verb, may
from accessions.people.wording import in_a_list
from governance.papers.models import LAYER_NAMES
from governance.plans.advice import Advice
from governance.plans.advice.restricting import without_secrets
from governance.plans.advice.saying import days_words

register = template.Library()

_SOON_DAYS = 14

_KINDS = {
    "empty-trap": gettext_lazy("Trap"), "set-trap": gettext_lazy("Trap"), "pause-trap": gettext_lazy("Trap"),
    "days-covered": gettext_lazy("Days"), "hole": gettext_lazy("Days"), "closed-season": gettext_lazy("Season"),
    "suspended": gettext_lazy("Days"), "person": gettext_lazy("People"), "person-nobody": gettext_lazy("People"),
    "method": gettext_lazy("Method"), "radius": gettext_lazy("Place"), "move": gettext_lazy("Place"),
    "group": gettext_lazy("Group"), "number": gettext_lazy("Number"), "notice-due": gettext_lazy("Notice"),
    "notice-given": gettext_lazy("Notice"), "report-due": gettext_lazy("Report"),
    "export-early": gettext_lazy("Way home"), "import-early": gettext_lazy("Way home"),
    "leaves-late": gettext_lazy("Way home"), "unread": gettext_lazy("Paper"),
}  # fmt: skip

_DEEDS = {
    "notice": (Verb.PLAN_TRIPS, "plans:plan-notice", gettext_lazy("Record notice")),
    "notice-remove": (Verb.PLAN_TRIPS, "plans:notice-remove", gettext_lazy("Take it off")),
    "terms": (Verb.REGISTER_PAPERS, "papers:version-new", gettext_lazy("Enter its terms")),
    "stop": (Verb.PLAN_TRIPS, "plans:stop-edit", gettext_lazy("Change the stop")),
    "home": (Verb.PLAN_TRIPS, "plans:home-edit", gettext_lazy("Change the days")),
}


@dataclass(frozen=True)
class Button:
    """A way on from an advice."""

    href: str
    label: Any


@register.filter
def advice_for(advice: Iterable[Advice] | None, user: Any) -> list[Advice]:
    """The advice as a person may read it: what tells of papers that are restricted to others is shortened."""
    return without_secrets(advice or (), user)


@register.filter
def sentence(one: Advice) -> str:
    """The sentence, in which the number of a paper never breaks over a line."""
    known = sorted({used.reference for used in one.papers}, key=len, reverse=True)
    if not known:
        return one.sentence
    pieces = re.split(rf"(?<!\w)({'|'.join(map(re.escape, known))})(?!\w)", one.sentence)
    return format_html_join("", "{}", ((_unbroken(piece) if piece in known else piece,) for piece in pieces))


def _unbroken(reference: str) -> SafeString:
    return format_html('<span class="ref">{}</span>', reference)


@register.filter
def kind_word(one: Advice) -> Any:
    """What it is about, in a word."""
    return _KINDS[one.code]


@register.filter
def layer_words(one: Advice) -> str:
    """The layers that it would settle, in words."""
    return in_a_list([str(LAYER_NAMES[layer]) for layer in one.layers])


@register.filter
def days_away(one: Advice) -> str:
    """``in 9 days``, ``today``, ``3 days ago``; "" where no day binds."""
    if one.by_day is None:
        return ""
    days = (one.by_day - timezone.localdate()).days
    if days == 0:
        return _("today")
    return (
        _("in %(days)s") % {"days": days_words(days)} if days > 0 else _("%(days)s ago") % {"days": days_words(-days)}
    )


@register.filter
def is_soon(one: Advice) -> bool:
    """Whether its day is near or past and it is still to be done."""
    if one.by_day is None or one.is_settled:
        return False
    return (one.by_day - timezone.localdate()).days <= _SOON_DAYS


@register.filter
def button_for(one: Advice, user: Any) -> Button | None:
    """Its button, for those who may press it."""
    if one.deed is None:
        return None
    verb, address, label = _DEEDS[one.deed.kind]
    if not may(user, verb):
        return None
    asked = f"?{urlencode(one.deed.asked)}" if one.deed.asked else ""
    return Button(reverse(address, args=[one.deed.key]) + asked, label)
