"""What a person wants to be told of by mail."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from governance.duties.models import ReminderWish


def set_wish(*, wish: str, by: Any) -> bool:
    """Set one's own wish; whether it changed.

    Raises:
        ValidationError: no such wish.
    """
    check(by, Verb.READ)
    with transaction.atomic():
        found = ReminderWish.objects.select_for_update().filter(user=by).first()
        if found is None:
            add(ReminderWish(user=by, wish=wish), by=by, why=gettext_noop("wish set"))
            return True
        return bool(change(found, {"wish": wish}, editable=("wish",), by=by, why=gettext_noop("wish changed")))
