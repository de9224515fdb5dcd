"""The basket of a request: specimens put in, taken out, and put back, however many, in a few statements."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db import connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from accessions.people.access import Verb, check
from accessions.people.bulk import insert, reserve_keys
from accessions.people.history import DELETED, copy_to_history
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.locking import held
from governance.usedesk.models import RequestItem, UseRequest
from governance.usedesk.queries.basket import in_basket, removed_at

MOST_AT_ONCE: Final = 50_000
"""Specimens that one step puts in: more than a request ever asked for; a slip of the hand asks for more."""


@dataclass(frozen=True)
class Added:
    """How many specimens are in newly, and how many were in before."""

    made: int
    known: int


@dataclass(frozen=True)
class Removed:
    """at: the moment, by which the removal can be undone. kept: asked for but decided, so that they stay."""

    made: int
    kept: int
    at: datetime | None = None


def add_items(*, request: UseRequest, specimens: Sequence[int], by: Any, why: str = "") -> Added:
    """Put specimens into the basket, by their keys; what is in already stays as it is.

    Raises:
        DeskError: too many at once, or the request takes nothing any more.
    """
    check(by, Verb.TAKE_REQUESTS)
    wanted = list(dict.fromkeys(specimens))
    if len(wanted) > MOST_AT_ONCE:
        words = _("%(n)s specimens are too many for one step; up to %(most)s can be put in. Narrow the list.")
        raise DeskError(words % {"n": intcomma(len(wanted)), "most": intcomma(MOST_AT_ONCE)})
    with transaction.atomic():
        current = held(request)
        known = in_basket(current, wanted)
        new = [key for key in wanted if key not in known]
        put_in(current, new, by=by, why=why or gettext_noop("added"))
    return Added(len(new), len(known))


def put_in(request: UseRequest, specimens: Collection[int], *, by: Any, why: str) -> None:
    """The rows themselves, inside the transaction of an action that holds the request; none of them is in it yet."""
    added_at = connection.ops.adapt_datetimefield_value(timezone.now())  # as the driver of either database takes it
    insert(
        RequestItem, ("request_id", "specimen_id", "added_at", "added_by_id"),
        ((request.pk, key, added_at, by.pk) for key in specimens), reserve_keys(RequestItem, len(specimens)),
        by=by, why=why,
    )  # fmt: skip


def remove_items(*, request: UseRequest, items: Collection[int] | None, by: Any, why: str = "") -> Removed:
    """Take items out of the basket, by their keys; None for all. What is decided stays.

    Raises:
        DeskError: all that was chosen is decided, nothing is in, or the request is answered or closed.
    """
    check(by, Verb.TAKE_REQUESTS)
    with transaction.atomic():
        current = held(request)
        wanted = RequestItem.objects.filter(request=current)
        if items is not None:
            wanted = wanted.filter(pk__in=items)
        rows = dict(wanted.order_by("pk").values_list("pk", "decision"))
        free = [key for key, decision in rows.items() if decision is None]
        if not free:
            raise DeskError(_why_none(len(rows)))
        at = _remove(free, by=by, why=why or gettext_noop("removed from the request"))
    return Removed(len(free), len(rows) - len(free), at)


def _why_none(decided: int) -> str:
    if not decided:
        return str(_("Nothing is chosen that is in the basket."))
    return ngettext(
        "The specimen is decided and stays. Withdraw the decision first, then remove it.",
        "All %(n)d specimens are decided and stay. Withdraw the decisions first, then remove them.",
        decided,
    ) % {"n": decided}


def _remove(items: Sequence[int], *, by: Any, why: str) -> datetime:
    """Delete items with their history; the moment under which the history keeps them."""
    is_postgresql = connection.vendor == "postgresql"
    condition = "id = ANY(%s)" if is_postgresql else "id IN (SELECT value FROM json_each(%s))"
    keys: Any = list(items) if is_postgresql else json.dumps(list(items))
    copy_to_history(RequestItem, condition, [keys], by=by, why=why, kind=DELETED)
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {RequestItem._meta.db_table} WHERE {condition}", [keys])
    moment: datetime = RequestItem.history.filter(id=items[0], history_type=DELETED).latest().history_date
    return moment


def put_back(*, request: UseRequest, at: datetime, by: Any, why: str = "") -> Added:
    """Undo a removal, told by its moment; what was put in again meanwhile stays as it is.

    Raises:
        DeskError: nothing was removed at that moment, or the request is answered or closed.
    """
    check(by, Verb.TAKE_REQUESTS)
    specimens = removed_at(request, at)
    if not specimens:
        raise DeskError(_("Nothing was removed from this request at that moment."))
    return add_items(request=request, specimens=specimens, by=by, why=why or gettext_noop("put back"))
