"""Small words of the pages of a plan."""

from __future__ import annotations

from django import template
from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _

from accessions.material.templatetags.site_material import listed
from governance.papers.measures import distance
from governance.plans.models import StopTarget, StopTrap
from governance.plans.planned_rows import LoadedStop
from governance.plans.queries.cap_use import CapUse, Individuals
from governance.plans.queries.content_words import group_words
from governance.plans.queries.plan_words import period_words
from governance.verdicts.shown_days import written_day

register = template.Library()
register.filter("written_day", written_day)
register.filter("listed", listed)


@register.filter
def days_words(one: LoadedStop) -> str:
    """The days of the team at a stop; traps may stand longer."""
    return period_words(one.stop.first_on, one.stop.last_on)


@register.filter
def trap_days(trap: StopTrap) -> str:
    """From the day it is set to the day it is emptied."""
    return period_words(trap.first_on, trap.last_on)


@register.filter
def place_words(one: LoadedStop) -> str:
    """Site, place and country, as far as they are known."""
    stop = one.stop
    parts = [str(stop.site)] if stop.site else []
    if stop.area:
        parts.append(_("drawn area"))
    elif stop.longitude_deg is not None and stop.latitude_deg is not None:
        reach = distance(stop.radius_m) if stop.radius_m else _("radius not known")
        parts.append(f"{stop.latitude_deg:.4f}, {stop.longitude_deg:.4f} ({reach})")
    elif one.boundary is not None:
        parts.append(_("boundary of the site"))
    else:
        parts.append(_("no place"))
    country = stop.country or (stop.site.country if stop.site else "")
    return "; ".join([*parts, country or _("country not known")])


@register.filter
def individuals(count: Individuals) -> str:
    """How many: "40", "40 to 60", "40 or more"."""
    if count.high is None:
        return _("%(low)s or more") % {"low": intcomma(count.low)} if count.low else _("not known")
    if count.low == count.high:
        return intcomma(count.low)
    return _("%(low)s to %(high)s") % {"low": intcomma(count.low), "high": intcomma(count.high)}


@register.filter
def of_group(target: StopTarget) -> str:
    """Rank and nearest higher name of a target group: "order, Insecta"."""
    return group_words(target.rank, target.higher, target.kingdom)


@register.filter
def cap_per(cap: CapUse) -> str:
    """For what the limit counts: "in a year: 2027"."""
    words = {
        "paper": _("in all"), "year": _("in a year"), "site": _("at a site"), "event": _("in one event"),
    }.get(cap.per, cap.per)  # fmt: skip
    return f"{words}: {cap.one}" if cap.one else words


@register.filter
def cap_words(cap: CapUse) -> str:
    """What the numbers mean for the trip."""
    if cap.state == "breached":
        return _("Above the limit: at least %(n)s. Plan for fewer, or ask the issuer for more.") % {
            "n": intcomma(cap.total.low),
        }  # fmt: skip
    if cap.state == "possible":
        if cap.total.high is None:
            return _("May go above the limit: not every number is known.")
        return _("May go above the limit: up to %(n)s.") % {"n": intcomma(cap.total.high)}
    return _("Within the limit; %(n)s left.") % {"n": intcomma(cap.left)}
