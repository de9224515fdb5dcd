"""The list of rules as the rows of a file. What a restricted paper says stays out for those who may not read it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any, Final

from django.utils import timezone

from governance.duties.models import DutyKind
from governance.duties.queries.rules import (
    RuleLine,
    WantedRules,
    dated_conditions,
    rule_lines,
    rules,
    without_rule,
)
from governance.duties.words import asked_words, rule_words

HEADERS: Final = {
    "entered": (
        "key", "paper", "kind", "what", "to whom", "when", "seen to by", "to be done", "asked since", "asked until",
        "clause", "clause number", "page", "ended on", "ended because",
    ),
    "conditions": ("paper", "kind", "what", "to whom", "asked for"),
    "without": ("paper", "page", "condition"),
}  # fmt: skip
"""By what the list shows: ``queries.rules.SHOWS``."""

Row = tuple[Any, ...]


def rule_file(wanted: WantedRules, reader: Any, today: date) -> Iterator[Row]:
    """The rows of the list, narrowed and ordered as asked."""
    if wanted.show == "conditions":
        yield from _conditions(wanted, reader, today)
    elif wanted.show == "without":
        for one in without_rule(wanted, reader):
            yield one.version.paper.reference, one.page, one.text
    else:
        yield from map(_entered, rule_lines(list(rules(wanted, reader)), reader))


def _entered(line: RuleLine) -> Row:
    rule = line.rule
    ended_on = timezone.localdate(rule.ended_at) if rule.ended_at else None
    face = (rule.pk, rule.paper.reference if rule.paper else "", str(rule.get_kind_display()))
    who = rule.assignee.shown_name if rule.assignee else ""
    count = rule.open_count  # type: ignore[attr-defined]  # ``rules`` adds it
    if line.hidden:
        return (*face, line.hidden, "", "", who, count, None, None, "", "", None, ended_on, "")
    when = rule_words(rule.when, number=rule.number, unit=rule.unit, month_day=rule.month_day, on=rule.on)
    return (
        *face, rule.what, rule.to_whom, when, who, count, rule.held_from, rule.held_to, rule.clause,
        rule.clause_number, rule.page, ended_on, rule.ended_why,
    )  # fmt: skip


def _conditions(wanted: WantedRules, reader: Any, today: date) -> Iterator[Row]:
    kinds = dict(DutyKind.choices)
    for line in dated_conditions(wanted, reader, today):
        asked = line.asked
        face = (line.paper.reference, str(kinds.get(asked.kind, asked.kind)))
        said = (line.hidden, "") if line.hidden else (asked.what, asked.to_whom)
        yield (*face, *said, "; ".join(asked_words(rule.from_day, rule.to_day) for rule in asked.rules))
