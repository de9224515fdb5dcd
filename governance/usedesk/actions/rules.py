"""The rules of the desk: where the house is, how silence is read, which footing lets material go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import NotEditableError, add, change
from accessions.people.history import record, remove
from governance.engine.uses import Use
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import DeskRules, FootingRule, SilenceRule

HOUSE = ("institution", "address", "country", "cites_code", "loan_months", "overdue_grace_days")
SILENCE = ("use", "paper_kind", "reading", "reason")
FOOTING = ("if_outside", "if_doubtful", "reason")


def set_house(*, values: Mapping[str, Any], by: Any, why: str) -> DeskRules:
    """Say where the house is and how it lends; what is not named stays.

    Raises:
        NotAllowedError: the person may not edit house rules.
        ValidationError: a value does not hold.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    if unknown := set(values) - set(HOUSE):
        raise NotEditableError(f"not editable here: {', '.join(sorted(unknown))}; editable: {', '.join(HOUSE)}")
    with transaction.atomic():
        rules = DeskRules.objects.select_for_update().first() or DeskRules(pk=1)
        is_new = rules._state.adding
        changed = [name for name, value in values.items() if is_new or getattr(rules, name) != value]
        for name in changed:
            setattr(rules, name, values[name])
        rules.full_clean(validate_unique=False, exclude=["id"])
        if changed:
            record(rules, by=by, why=why, fields=None if is_new else changed)
    return rules


def add_silence_rule(*, values: Mapping[str, Any], by: Any, why: str = "") -> SilenceRule:
    """Say how silence is read, for a use, a kind of paper, or both.

    Raises:
        ValidationError: it does not hold, or there is such a rule already.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    made = SilenceRule(**{name: values[name] for name in SILENCE})
    with transaction.atomic():
        add(made, by=by, why=why or gettext_noop("entered"))
    return made


def change_silence_rule(*, rule: SilenceRule, values: Mapping[str, Any], by: Any, why: str) -> list[str]:
    """Read silence otherwise from now on. Decisions that were made keep the answer of their day."""
    check(by, Verb.EDIT_HOUSE_RULES)
    with transaction.atomic():
        return change(_locked(SilenceRule, rule), values, editable=SILENCE, by=by, why=why)


def remove_silence_rule(*, rule: SilenceRule, by: Any, why: str) -> None:
    """Silence is no longer read so: less specific rules count, or nobody has decided.

    Raises:
        DeskError: no reason was given, or somebody removed it meanwhile.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    _remove(SilenceRule, rule, by, why)


def set_footing_rule(*, use: Use, values: Mapping[str, Any], by: Any, why: str) -> FootingRule:
    """Say what becomes of material without a settled footing when it is asked for this use.

    Raises:
        ValidationError: it does not hold.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    with transaction.atomic():
        rule = FootingRule.objects.select_for_update().filter(use=int(use)).first()
        if rule is None:
            rule = FootingRule(use=int(use), **{name: values[name] for name in FOOTING})
            add(rule, by=by, why=why)
        else:
            change(rule, values, editable=FOOTING, by=by, why=why)
    return rule


def remove_footing_rule(*, rule: FootingRule, by: Any, why: str) -> None:
    """The careful default counts again for this use.

    Raises:
        DeskError: no reason was given, or somebody removed it meanwhile.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    _remove(FootingRule, rule, by, why)


def _locked(model: Any, row: Any) -> Any:
    found = model.objects.select_for_update().filter(pk=row.pk).first()
    if found is None:
        raise DeskError(_("Somebody removed this rule meanwhile."))
    return found


def _remove(model: Any, row: Any, by: Any, why: str) -> None:
    if not why.strip():
        raise DeskError(_("Say why the rule goes."))
    with transaction.atomic():
        remove(_locked(model, row), by=by, why=why)
