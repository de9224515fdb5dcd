"""Advice in templates: ``{% for one in advice|advice_for:user %}``, ``{{ one|days_away:today }}``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import template
from django.utils import timezone
from django.utils.translation import gettext as _

from governance.plans.advice import Advice
from governance.plans.advice.restricting import without_secrets
from governance.plans.advice.saying import days_words

register = template.Library()

_SOON_DAYS = 14

KINDS = {
    "empty-trap": _("Trap"),
}


@register.filter
def advice_for(advice: Iterable[Advice] | None, user: Any) -> list[Advice]:
    """The advice as a person may read it: what tells of papers that are restricted to others is shortened."""
    return without_secrets(advice or (), user)


@register.filter
def days_away(advice: Advice) -> str:
    """``in 9 days``, ``today``, ``3 days ago``; "" where no day binds."""
    if advice.by_day is None:
        return ""
    days = (advice.by_day - timezone.localdate()).days
    if days == 0:
        return _("today")
    return _("in %(days)s") % {"days": days_words(days)} if days > 0 else _("%(days)s ago") % {"days": days_words(-days)}


@register.filter
def is_soon(advice: Advice) -> bool:
    """Whether its day is near or past, and nothing settled it."""
    return advice.by_day is not None and not advice.is_settled and (
        (advice.by_day - timezone.localdate()).days <= _SOON_DAYS
    )
