"""Papers in templates: the state of a paper in words, its layers, its links."""

from __future__ import annotations

from datetime import timedelta

from django import template
from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.papers.countries import country_name
from governance.papers.lifetimes import Lifetime, Standing
from governance.papers.models import LAYER_NAMES, Condition, Paper
from governance.papers.queries.listing import LinkCounts
from governance.papers.readings import asks_words
from governance.papers.targets import target_kind, target_words

register = template.Library()


@register.filter
def layer_words(paper: Paper) -> str:
    """``Land, Collecting``."""
    return ", ".join(str(LAYER_NAMES[layer]) for layer in paper.layer_list)


@register.filter
def asks(condition: Condition) -> list[str]:
    """What a condition asks for, by which day."""
    return asks_words(condition)


@register.filter
def place_name(code: str) -> str:
    """``Costa Rica``, or ``CR-A, Costa Rica``."""
    return f"{code}, {country_name(code[:2])}" if "-" in code else country_name(code) if code else ""


@register.filter
def state_words(life: Lifetime) -> str:
    """How the paper stands on the day, as a sentence: ``Ended on 14 June 2024.``"""
    days = {
        "since": date_format(life.since, "j F Y") if life.since else "",
        "until": date_format(life.until, "j F Y") if life.until else "",
        "last": date_format(life.since - timedelta(1), "j F Y") if life.since else "",
    }
    return str(_sentences(life)) % days


def _sentences(life: Lifetime) -> str:
    if life.standing == Standing.IN_FORCE:
        return _in_force(life)
    if life.standing == Standing.SUSPENDED and life.until is None:
        return _("Suspended since %(since)s, until told otherwise.")
    return {
        Standing.NOT_YET: _("Not in force before %(until)s."),
        Standing.BETWEEN: _("Between two versions: the last ended on %(since)s, the next starts on %(until)s."),
        Standing.SUSPENDED: _("Suspended from %(since)s to %(until)s."),
        Standing.ENDED: _("Ended on %(since)s."),
        Standing.REVOKED: _("Revoked: it no longer holds from %(since)s on."),
        Standing.WITHDRAWN: _("Consent withdrawn: it no longer holds from %(since)s on."),
        Standing.SURRENDERED: _("Surrendered: it no longer holds from %(since)s on."),
        Standing.UNREAD: _("Not read yet: no version is entered, so nothing can be told from it."),
        Standing.APPLIED: _("Applied for on %(since)s and not given yet: nothing is held against it."),
        Standing.REFUSED: _("Refused on %(since)s: nothing is held against it."),
    }[life.standing]


def _in_force(life: Lifetime) -> str:
    if life.until is None:
        return (
            _("In force since %(since)s, until told otherwise.") if life.since else _("In force, from an unknown day.")
        )
    left = life.days_left or 0
    if left == 0:
        return _("In force for the last day: it ends on %(until)s.")
    ends = ngettext("In force for %(n)s more day, until", "In force for %(n)s more days, until", left) % {
        "n": intcomma(left)
    }
    return f"{ends} %(until)s."


@register.filter
def state_word(life: Lifetime) -> str:
    """The same in a word or two, for lists."""
    left = life.days_left
    if left is not None and left <= 60:
        return ngettext("%(n)s day left", "%(n)s days left", left) % {"n": left} if left else str(_("Last day"))
    return {
        Standing.IN_FORCE: _("In force"), Standing.NOT_YET: _("Not yet in force"),
        Standing.BETWEEN: _("Between versions"), Standing.SUSPENDED: _("Suspended"), Standing.ENDED: _("Ended"),
        Standing.REVOKED: _("Revoked"), Standing.WITHDRAWN: _("Consent withdrawn"),
        Standing.SURRENDERED: _("Surrendered"), Standing.UNREAD: _("Not read yet"),
        Standing.APPLIED: _("Applied for"), Standing.REFUSED: _("Refused"),
    }[life.standing]  # fmt: skip


@register.filter
def of_key(found: dict[int, LinkCounts], key: int) -> LinkCounts | None:
    """What a dictionary holds at a key."""
    return found.get(key)


@register.filter
def link_words(counts: LinkCounts | None) -> str:
    """``2 accessions, 6 sites``."""
    if counts is None:
        return ""
    if counts.all_accessions:
        return str(_("Every accession"))
    told = (
        ngettext("%(n)s accession", "%(n)s accessions", counts.accessions) % {"n": intcomma(counts.accessions)},
        ngettext("%(n)s part", "%(n)s parts", counts.parts) % {"n": intcomma(counts.parts)},
        ngettext("%(n)s site", "%(n)s sites", counts.sites) % {"n": intcomma(counts.sites)},
        ngettext("%(n)s event", "%(n)s events", counts.events) % {"n": intcomma(counts.events)},
        ngettext("%(n)s specimen", "%(n)s specimens", counts.specimens) % {"n": intcomma(counts.specimens)},
    )
    numbers = (counts.accessions, counts.parts, counts.sites, counts.events, counts.specimens)
    return ", ".join(words for words, number in zip(told, numbers, strict=True) if number)


register.filter("target_words", target_words)
register.filter("target_kind", target_kind)
