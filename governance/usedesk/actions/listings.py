"""Names that CITES lists, as the house keeps them: entered, corrected, ended, taken from a file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.people.history import copy_to_history
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import CitesListing

EDITABLE = (
    "name", "kingdom", "rank", "higher_classification", "appendix", "from_on", "to_on", "source", "checked_on",
)  # fmt: skip
_AT_ONCE: Final = 500


@dataclass(frozen=True)
class Taken:
    """What became of the rows of a file. known: there already, left as they are."""

    added: int
    known: int


def add_listing(*, values: Mapping[str, Any], by: Any, why: str = "") -> CitesListing:
    """Enter a listed name.

    Raises:
        ValidationError: it does not hold.
        DeskError: the same listing is there already.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    made = CitesListing(**{name: values[name] for name in EDITABLE if name in values})
    with transaction.atomic():
        if _same(made.name).filter(appendix=made.appendix, from_on=made.from_on, to_on=made.to_on).exists():
            raise DeskError(_("%(name)s is listed so already.") % {"name": made.name})
        add(made, by=by, why=why or gettext_noop("entered"))
    return made


def change_listing(*, listing: CitesListing, values: Mapping[str, Any], by: Any, why: str) -> list[str]:
    """Correct a listed name. Whoever looks at a request of an earlier day gets the answer with it."""
    check(by, Verb.EDIT_HOUSE_RULES)
    with transaction.atomic():
        return change(_locked(listing), values, editable=EDITABLE, by=by, why=why)


def end_listing(*, listing: CitesListing, on: date, by: Any, why: str) -> CitesListing:
    """The name is listed no longer after this day. It stays on record.

    Raises:
        DeskError: it is ended already.
        ValidationError: the day is before its first day.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    with transaction.atomic():
        current = _locked(listing)
        if current.to_on is not None:
            raise DeskError(_("It is ended already. Correct its last day instead."))
        change(current, {"to_on": on}, editable=EDITABLE, by=by, why=why)
    return current


def take_listings(*, rows: Sequence[Mapping[str, Any]], by: Any, why: str) -> Taken:
    """Take the checked rows of a file: those that are there already stay as they are.

    Raises:
        ValidationError: a row does not hold; nothing is taken then.
    """
    check(by, Verb.EDIT_HOUSE_RULES)
    with transaction.atomic():
        standing = set(CitesListing.objects.values_list("name", "kingdom", "appendix", "from_on", "to_on"))
        wanted = {_key(row): row for row in reversed(rows)}
        fresh = [CitesListing(**row) for key, row in reversed(wanted.items()) if key not in standing]
        made = CitesListing.objects.bulk_create(fresh, batch_size=_AT_ONCE)
        for start in range(0, len(made), _AT_ONCE):
            keys = [one.pk for one in made[start : start + _AT_ONCE]]
            copy_to_history(CitesListing, f"id IN ({', '.join(['%s'] * len(keys))})", keys, by=by, why=why)
    return Taken(len(made), len(rows) - len(made))


def _key(row: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(row[name] for name in ("name", "kingdom", "appendix", "from_on", "to_on"))


def _same(name: str) -> Any:
    return CitesListing.objects.filter(name__iexact=name)


def _locked(listing: CitesListing) -> CitesListing:
    return CitesListing.objects.select_for_update().get(pk=listing.pk)
