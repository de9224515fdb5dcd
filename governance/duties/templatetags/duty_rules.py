"""Rules of duties in words."""

from __future__ import annotations

from django import template
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from governance.duties.models import DutyKind, DutyRule
from governance.duties.queries.rules_of_papers import Asked
from governance.duties.words import rule_words
from governance.engine.duties import Span
from governance.usedesk.models import MadeUse

register = template.Library()


@register.filter
def rule_when(rule: DutyRule) -> str:
    """When it falls due, as one sentence."""
    return rule_words(rule.when, number=rule.number, unit=rule.unit, month_day=rule.month_day, on=rule.on)


@register.filter
def rule_deeds(rule: DutyRule) -> str:
    """The uses that it is about."""
    names = dict(MadeUse.Deed.choices)
    return ", ".join(str(names.get(deed, deed)) for deed in rule.deeds)


@register.filter
def duty_kind(kind: str) -> str:
    """What is to be done, by its word."""
    return str(dict(DutyKind.choices).get(kind, kind))


@register.filter
def asked_spans(asked: Asked) -> list[str]:
    """The times in which it was asked for."""
    return [_span(Span(rule.from_day, rule.to_day)) for rule in asked.rules]


def _span(span: Span) -> str:
    first = date_format(span.first, "j M Y") if span.first else ""
    last = date_format(span.last, "j M Y") if span.last else ""
    if first and last:
        return _("%(first)s to %(last)s") % {"first": first, "last": last}
    if first:
        return _("since %(first)s") % {"first": first}
    return _("until %(last)s") % {"last": last} if last else _("as long as the paper stands")
