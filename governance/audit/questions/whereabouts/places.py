"""Where specimens are, by the uses that were made of them: as ``usedesk.queries.whereabouts`` has it, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import QuerySet
from django.utils.translation import gettext_lazy

from governance.usedesk.deeds import FOR_GOOD, Deed
from governance.usedesk.models import UseItem
from governance.usedesk.queries.whereabouts import gone, gone_of, out_of, still_out

HERE: Final = gettext_lazy("Here")
_WORDS: Final[Mapping[str, Any]] = {
    Deed.LOAN: gettext_lazy("Out on loan"),
    Deed.ONWARD_LOAN: gettext_lazy("Out on loan, lent on by the borrower"),
    Deed.LOSS: gettext_lazy("Lost"),
}


@dataclass(frozen=True)
class Place:
    """Where a specimen is. item: by which it is not here; None: no entry says that it is elsewhere."""

    item: Any = None

    @property
    def words(self) -> str:
        if self.item is None:
            return str(HERE)
        deed = self.item.use.deed
        return str(_WORDS.get(deed) or (Deed(deed).label if deed in FOR_GOOD else gettext_lazy("Used up")))

    @property
    def is_out(self) -> bool:
        return self.item is not None and self.item.use.deed in (Deed.LOAN, Deed.ONWARD_LOAN)


def places_of(ids: Sequence[int]) -> dict[int, Place]:
    """By specimen, of those that are not here: three queries. Who has what was lent on is the second borrower."""
    onward = still_out(Deed.ONWARD_LOAN, UseItem.objects.filter(specimen__in=ids))
    lent_on = {item.specimen_id: item for item in onward.select_related("use__recipient")}
    return {key: Place(item) for key, item in {**out_of(ids), **lent_on, **gone_of(ids)}.items()}


@dataclass(frozen=True)
class Away:
    """How many specimens are out on loan, how many of these were lent on, and how many are here no longer."""

    out: int
    lent_on: int
    gone: int


def away(items: QuerySet[UseItem]) -> Away:
    """Of some items, counted by specimen: three queries."""
    lent, onward = (
        set(still_out(deed, items).order_by().values_list("specimen", flat=True))
        for deed in (Deed.LOAN, Deed.ONWARD_LOAN)
    )
    left = set(gone().filter(pk__in=items.order_by().values("pk")).values_list("specimen", flat=True))
    return Away(len((lent | onward) - left), len(onward - left), len(left))
