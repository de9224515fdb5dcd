"""Rules of duties in words."""

from __future__ import annotations

from django import template

from governance.duties.models import DutyKind, DutyRule
from governance.duties.queries.rules_of_papers import Asked
from governance.duties.words import asked_words, rule_words
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
    return [asked_words(rule.from_day, rule.to_day) for rule in asked.rules]
