"""Applications in templates: where one stands, in a word and in a sentence; days left."""

from __future__ import annotations

from datetime import date

from django import template
from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer
from governance.papers.countries import country_name
from governance.papers.models import LAYER_NAMES
from governance.plans.models import Application
from governance.plans.queries.applications import Line
from governance.plans.queries.check import Need
from governance.verdicts.cells import Cell

register = template.Library()
State = Application.State


@register.filter
def layer_of(application: Application) -> str:
    """``Export``."""
    return str(LAYER_NAMES[Layer(application.layer)])


@register.filter
def layer_code(application: Application) -> str:
    """``export``, as addresses write it."""
    return Layer(application.layer).code


@register.filter
def need_layer(need: Need) -> str:
    """The layer of a gap; of a country without a sheet that country."""
    if need.without_sheet is None or len(need.layers) == 1:
        return str(LAYER_NAMES[need.layer])
    return country_name(need.without_sheet) or _("Country not known")


@register.filter
def need_verdict(need: Need) -> str:
    """What the check says of it."""
    return Cell(need.verdict).word


@register.filter
def days_words(days: int | None) -> str:
    """``in 48 days``, ``today``, ``3 days ago``; "" where no day is known."""
    if days is None:
        return ""
    if days < 0:
        return ngettext("%(n)s day ago", "%(n)s days ago", -days) % {"n": intcomma(-days)}
    return ngettext("in %(n)s day", "in %(n)s days", days) % {"n": intcomma(days)} if days else str(_("today"))


@register.filter
def days_after(day: date | None, today: date) -> str:
    """The same from a day."""
    return days_words((day - today).days) if day else ""


@register.filter
def stop_words(line: Line) -> str:
    """For which stops it is: ``all stops``, or their names."""
    if line.application.all_stops:
        return str(_("all stops"))
    return ", ".join(line.stops) or str(_("none: its stops were taken out of the plan"))


@register.filter
def state_day(application: Application) -> date | None:
    """The day that goes with the state."""
    one = application
    return {
        State.ASKED: one.asked_on, State.PROMISED: one.promised_on, State.GRANTED: one.granted_on,
        State.REFUSED: one.refused_on, State.DROPPED: one.dropped_on,
    }.get(one.state)  # fmt: skip


@register.filter
def lead_words(line: Line) -> str:
    """Where it stands: the sentence that comes first, in bold."""
    one = line.application
    if one.state == State.TO_ASK and one.start_by is None:
        return str(_("To ask."))
    words = {
        State.TO_ASK: _("To ask by %(day)s.") if not line.is_late else _("To ask."),
        State.ASKED: _("Asked on %(day)s."),
        State.PROMISED: _("An answer is promised for %(day)s."),
        State.GRANTED: _("Granted on %(day)s."),
        State.REFUSED: _("Refused on %(day)s."),
        State.DROPPED: _("Given up on %(day)s."),
    }[one.state]
    return words % {"day": _day(state_day(one) or one.start_by)}


@register.filter
def rest_words(line: Line) -> str:
    """What follows from it."""
    one, told = line.application, {"day": _day(line.next_on), "days": days_words(line.days)}
    if one.state == State.TO_ASK:
        if line.next_on is None:
            return str(_("The last day to ask is not known: write one down, or give the plan its days and lead times."))
        words = _("The day to ask by, %(day)s, passed %(days)s.") if line.is_late else _("That is %(days)s.")
        return words % told
    if one.state == State.ASKED:
        return _("That was %(days)s; no answer is recorded yet.") % {"days": days_after(one.asked_on, line.today)}
    if one.state == State.PROMISED:
        words = _("That day passed %(days)s, and no answer is recorded.") if line.is_late else _("That is %(days)s.")
        return words % told
    return ""


@register.filter
def is_unread(application: Application) -> bool:
    """Whether what was granted has no terms yet; reads ``paper__versions``, which pages prefetch."""
    return application.paper is not None and not application.paper.versions.all()


def _day(day: date | None) -> str:
    return str(date_format(day, "j F Y")) if day else ""
