"""How the house follows duties: from which day on, and how long before its day a duty counts as due."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.editing import change
from governance.duties.actions.working_out import held_house
from governance.duties.models import DutyHouse

HOUSE_FIELDS: Final = ("follow_from", "ahead_days")
FIRST_YEAR: Final = 1900
"""Nobody follows duties of an earlier year; a day of another age is a slip of typing."""


def set_house(*, values: Mapping[str, Any], by: Any, why: str) -> tuple[DutyHouse, list[str]]:
    """Say how duties are followed; returns the fields that changed.

    Raises:
        NotAllowedError: the person may not edit house rules.
        ValidationError: a value does not hold; by field.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    day: date | None = values.get("follow_from")
    if day is not None and not FIRST_YEAR <= day.year <= timezone.localdate().year + 1:
        told = {"first": FIRST_YEAR, "last": timezone.localdate().year + 1}
        raise ValidationError({"follow_from": _("Check the year: between %(first)d and %(last)d.") % told})
    with transaction.atomic():
        house = held_house(by)
        return house, change(house, values, editable=HOUSE_FIELDS, by=by, why=why)
