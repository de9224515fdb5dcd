"""Rules of duties: entered, corrected, ended. The duties follow once they are worked out (``working_out.catch_up``)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import NotEditableError, add, change
from accessions.people.history import record
from governance.duties.actions.errors import DutyError
from governance.duties.models import Duty, DutyRule
from governance.papers.models import Paper
from governance.papers.restriction import check_readable
from governance.usedesk.models import MadeUse

RULE_FIELDS: Final = (
    "paper", "kind", "what", "to_whom", "clause", "clause_number", "page", "when", "month_day", "number", "unit", "on",
    "about", "deeds", "if_nothing", "assignee", "held_from", "held_to",
)  # fmt: skip
_WHY_LENGTH: Final = 200
_DROPPED: Final = 300


def add_rule(*, values: Mapping[str, Any], by: Any, why: str = "") -> DutyRule:
    """Enter what a paper, or the house itself, asks for.

    Raises:
        RestrictedPaperError: what is in the paper is not for this person.
        ValidationError: a value does not hold; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_editable(values)
    _check_open(values.get("paper"), by)
    rule = DutyRule(**values)
    with transaction.atomic():
        _check_deeds(rule)
        add(rule, by=by, why=why or gettext_noop("entered"))
    return rule


def change_rule(*, rule: DutyRule, values: Mapping[str, Any], by: Any, why: str) -> list[str]:
    """Correct a rule; returns the fields that changed. Duties that follow are moved, with the reason.

    Raises:
        DutyError: the rule was ended, or it would be of another paper.
        RestrictedPaperError: what is in the paper is not for this person.
        ValidationError: a value does not hold; by field.
    """
    check(by, Verb.KEEP_DUTIES)
    _check_editable(values)
    with transaction.atomic():
        current = _held(rule, by)
        if "paper" in values and values["paper"] != current.paper:
            raise DutyError(_("A rule stays with its paper. End this one, and enter it for the other paper."))
        _check_deeds(DutyRule(**{"deeds": values.get("deeds", current.deeds)}))
        return change(current, values, editable=RULE_FIELDS, by=by, why=why)


def end_rule(*, rule: DutyRule, keeps_open: bool, by: Any, why: str) -> int:
    """No new duty follows from the rule. keeps_open: what followed and is not done is still to be done; otherwise it
    is no longer asked for. Returns how many duties are no longer asked for.

    Raises:
        DutyError: it was ended already, or nothing says why.
        RestrictedPaperError: what is in the paper is not for this person.
    """
    check(by, Verb.KEEP_DUTIES)
    if not why.strip():
        raise DutyError(_("Say why the rule ends."))
    with transaction.atomic():
        current = _held(rule, by)
        current.ended_at, current.ended_by, current.ended_why = timezone.now(), by, why.strip()[:_WHY_LENGTH]
        record(current, by=by, why=why, fields=["ended_at", "ended_by", "ended_why"])
        return 0 if keeps_open else _drop_open(current, by)


def _drop_open(rule: DutyRule, by: Any) -> int:
    why = gettext_noop("The rule was ended: %(why)s") % {"why": rule.ended_why}
    rows = list(
        Duty.objects.select_for_update().filter(
            rule=rule, done_on__isnull=True, waived_on__isnull=True, dropped_on__isnull=True
        )
    )
    for row in rows:
        row.dropped_on, row.dropped_why = timezone.localdate(), why[:_DROPPED]
        record(row, by=by, why=why, fields=["dropped_on", "dropped_why"])
    return len(rows)


def _held(rule: DutyRule, by: Any) -> DutyRule:
    """The rule as it is now, locked until the transaction ends."""
    current = DutyRule.objects.select_for_update(of=("self",)).select_related("paper").get(pk=rule.pk)
    _check_open(current.paper, by)
    if current.ended_at is not None:
        raise DutyError(_("This rule was ended. Enter it again if it holds after all."))
    return current


def _check_open(paper: Paper | None, by: Any) -> None:
    if paper is not None:
        check_readable(paper, by)


def _check_editable(values: Mapping[str, Any]) -> None:
    if unknown := set(values) - set(RULE_FIELDS):
        raise NotEditableError(f"not editable here: {', '.join(sorted(unknown))}; editable: {', '.join(RULE_FIELDS)}")


def _check_deeds(rule: DutyRule) -> None:
    unknown = [deed for deed in rule.deeds if deed not in MadeUse.Deed.values]
    if unknown:
        raise ValidationError({"deeds": _("Not a kind of use: %(words)s.") % {"words": ", ".join(map(str, unknown))}})
