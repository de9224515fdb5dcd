"""Where a specimen is, by the uses that were made: out on loan, with a borrower for good, used up, or here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from django.db.models import Exists, OuterRef, Q, QuerySet

from governance.usedesk.deeds import FOR_GOOD
from governance.usedesk.models import MadeUse, UseItem

KEYS_AT_ONCE: Final = 10_000


def slices(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    """The keys in pieces that a statement can hold."""
    for first in range(0, len(keys), KEYS_AT_ONCE):
        yield keys[first : first + KEYS_AT_ONCE]


def standing() -> QuerySet[UseItem]:
    """Items of entries that were not voided."""
    return UseItem.objects.filter(use__voided_at__isnull=True)


def gone() -> QuerySet[UseItem]:
    """Items by which a specimen is here no longer: kept, given, disposed of, returned, lost, or used up."""
    return standing().filter(Q(use__deed__in=FOR_GOOD) | Q(is_used_up=True)).order_by()


def still_out(deed: str = MadeUse.Deed.LOAN, rows: QuerySet[UseItem] | None = None) -> QuerySet[UseItem]:
    """Items of loans that did not come back, and of which nothing else became.

    What was lent on is with the second borrower; it is out by both entries, and back by the return of either.

    Args:
        rows: the items that are asked about; None: all.
    """
    found = UseItem.objects.all() if rows is None else rows
    rows = found.filter(use__voided_at__isnull=True, use__deed=deed, returned__isnull=True)
    left = gone().filter(specimen=OuterRef("specimen"))
    rows = rows.filter(~Exists(left))
    if deed == MadeUse.Deed.ONWARD_LOAN:
        back = UseItem.objects.filter(use=OuterRef("use__parent"), specimen=OuterRef("specimen"))
        rows = rows.exclude(Exists(back.filter(returned__isnull=False)))
    return rows


def out_of(ids: Sequence[int]) -> dict[int, UseItem]:
    """By specimen, the item of the loan on which it is out."""
    return _by_specimen(still_out().select_related("use", "use__recipient"), ids)


def gone_of(ids: Sequence[int]) -> dict[int, UseItem]:
    """By specimen, the item by which it is here no longer."""
    return _by_specimen(gone().select_related("use", "use__recipient"), ids)


def _by_specimen(rows: QuerySet[UseItem], ids: Sequence[int]) -> dict[int, UseItem]:
    found: Iterable[UseItem] = (item for some in slices(ids) for item in rows.filter(specimen__in=some))
    return {item.specimen_id: item for item in found}
