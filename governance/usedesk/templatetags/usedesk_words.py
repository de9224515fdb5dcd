"""Words of the desk on pages: uses, days left, countries, registers."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.uses import Answer, Use
from governance.papers.countries import country_name
from governance.papers.models import USE_NAMES
from governance.scans.models import Scan
from governance.scans.queries.visible import may_open
from governance.usedesk.models import ANSWER_NAMES, Recipient
from governance.usedesk.queries.listing import Line

register = template.Library()

_SHOWN = 3


@register.filter
def country(code: str) -> str:
    """The name of a country."""
    return country_name(code) if code else ""


@register.filter
def uses_of(bits: int) -> list[str]:
    """The names of the uses of some bits."""
    return [str(USE_NAMES[use]) for use in Use if bits >> use & 1]


@register.filter
def uses_short(request: Any) -> str:
    """The first uses of a request, and how many more."""
    names = uses_of(request.uses)
    more = len(names) - _SHOWN
    words = ", ".join(names[:_SHOWN])
    return words if more <= 0 else _("%(uses)s and %(n)d more") % {"uses": words, "n": more}


@register.filter
def late_words(line: Line) -> str:
    """How many days are left until the day to answer by, or since when it has passed."""
    days = line.days_left
    if days is None:
        return ""
    if days < 0:
        return ngettext("%(n)d day ago", "%(n)d days ago", -days) % {"n": -days}
    if days == 0:
        return _("today")
    return ngettext("in %(n)d day", "in %(n)d days", days) % {"n": days}


@register.filter
def register_words(recipient: Recipient) -> str:
    """What is known of a recipient in the register of institutions that CITES keeps."""
    day = recipient.cites_checked_on
    looked = {"day": date_format(day, "j F Y")} if day else {}
    if recipient.cites_code:
        words = _("Registered with CITES as %(code)s, looked up on %(day)s.") if day else _(
            "Registered with CITES as %(code)s, as far as told: nobody looked it up.")  # fmt: skip
        return words % (looked | {"code": recipient.cites_code})
    if day:
        return _("Not found in the CITES register on %(day)s.") % looked
    return _("The CITES register was not looked up.")


@register.filter
def opens_to(scan: Scan, user: Any) -> bool:
    """Whether a person may open a file."""
    return may_open(user, scan)


@register.filter
def answer_name(answer: int) -> Any:
    """The word of an answer."""
    return ANSWER_NAMES[Answer(answer)]
