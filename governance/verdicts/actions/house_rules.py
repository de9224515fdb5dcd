"""The house rules: what the house assumes where a record is silent. A change concerns every verdict."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.verdicts.models import HouseRuleSet

EDITABLE = frozenset({"assumed_radius_m", "datum_allowance_m", "approximate_count_percent", "longest_wait_days",
                      "overrides_need_review"})  # fmt: skip
_JUDGED = EDITABLE - {"longest_wait_days", "overrides_need_review"}
"""What verdicts read."""


def change_house_rules(*, values: Mapping[str, Any], by: Any, why: str) -> HouseRuleSet:
    """Set house rules; what is not named stays. All verdicts are to be looked at again, if one that they read changed.

    Raises:
        NotAllowedError: the person may not edit house rules.
        ValueError: a name is no house rule, or there is no reason.
        ValidationError: a value is out of its range.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    unknown = set(values) - EDITABLE
    if unknown:
        raise ValueError(f"no house rules: {', '.join(sorted(unknown))}; they are {', '.join(sorted(EDITABLE))}")
    if not why.strip():
        raise ValueError(_("Say why the house rules change."))
    with transaction.atomic():
        rules = HouseRuleSet.objects.select_for_update().first() or HouseRuleSet(pk=1)
        changed = {name: value for name, value in values.items() if getattr(rules, name) != value}
        if rules._state.adding or changed:
            _write(rules, changed, by=by, why=why)
    return rules


def _write(rules: HouseRuleSet, changed: Mapping[str, Any], *, by: Any, why: str) -> None:
    is_new = rules._state.adding
    for name, value in changed.items():
        setattr(rules, name, value)
    rules.full_clean(validate_unique=False, exclude=["id"])
    record(rules, by=by, why=why, fields=None if is_new else list(changed))
    if _JUDGED.intersection(changed):
        touch(Scope.ALL, by=by, why=gettext_noop("House rules: %(why)s") % {"why": why})
