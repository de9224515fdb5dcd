"""The basket of a request and the codes that were read into it, as pages show them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from django.db.models import Count, F, Q, QuerySet
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Specimen
from accessions.people.history import DELETED
from governance.usedesk.models import RequestItem, ScanLine, UseRequest
from governance.usedesk.queries.scan_signs import Sign
from governance.verdicts.queries.filters import starts_with
from governance.verdicts.queries.selected import slices

SORTS: Final = {
    "added": ("pk",), "number": ("specimen__catalog_number", "pk"), "name": ("specimen__name__shown", "pk"),
    "accession": ("specimen__accession__number", "specimen__catalog_number", "pk"),
    "decision": (F("decision__is_approved").asc(nulls_first=True), "pk"),
}  # fmt: skip
"""Orders of the basket, each both ways."""

DECIDED: Final = {
    "undecided": Q(decision__isnull=True),
    "approved": Q(decision__is_approved=True),
    "refused": Q(decision__is_approved=False),
}


def in_basket(request: UseRequest, specimens: Iterable[int]) -> set[int]:
    """Which of these specimens are in the basket. A query for each 2,000 of them."""
    rows = RequestItem.objects.filter(request=request)
    found: set[int] = set()
    for some in slices(list(specimens)):
        found.update(rows.filter(specimen__in=some).values_list("specimen", flat=True))
    return found


def lines_by_key(request: UseRequest, keys: Sequence[str]) -> dict[str, ScanLine]:
    """The lines that are known by these keys. A query for each 2,000 of them."""
    found: dict[str, ScanLine] = {}
    for first in range(0, len(keys), 2_000):
        rows = ScanLine.objects.filter(request=request, key__in=keys[first : first + 2_000])
        found |= {line.key: line for line in rows}
    return found


def removed_at(request: UseRequest, at: datetime) -> list[int]:
    """The specimens that were removed from the basket at a moment and are still there, in the order of the basket."""
    until = at + timedelta(microseconds=1)  # SQLite keeps moments as text, with or without the zone behind them
    gone = RequestItem.history.filter(
        request=request, history_type=DELETED, history_date__gte=at, history_date__lt=until
    ).order_by("id")
    keys = list(gone.values_list("specimen_id", flat=True))
    there: set[int] = set()
    for some in slices(keys):
        there.update(Specimen.objects.filter(pk__in=some).values_list("pk", flat=True))
    return [key for key in keys if key in there]


@dataclass(frozen=True)
class Wanted:
    """What the basket is narrowed to; blank is all. q: how the number begins. decided: of ``DECIDED``."""

    q: str = ""
    decided: str = ""
    sort: str = ""


@dataclass(frozen=True)
class BasketRow:
    """One specimen of the basket as its page shows it. sign: the answer of the desk."""

    item: RequestItem
    sign: Sign | None = None

    @property
    def name_is_italic(self) -> bool:
        return self.item.specimen.name.is_italic

    @property
    def decision_words(self) -> Any:
        """What was decided of it."""
        if self.item.decision is None:
            return _("Not decided")
        return _("May go") if self.item.decision.is_approved else _("Stays")


def basket_items(request: UseRequest, wanted: Wanted) -> QuerySet[RequestItem]:
    """The items with their specimens, in the order that is asked for."""
    rows = RequestItem.objects.filter(request=request).select_related(
        "specimen__name", "specimen__accession", "specimen__part", "decision", "added_by"
    )
    if wanted.q:
        rows = rows.filter(starts_with("specimen__catalog_number", wanted.q))
    if wanted.decided in DECIDED:
        rows = rows.filter(DECIDED[wanted.decided])
    columns = SORTS.get(wanted.sort.removeprefix("-"), SORTS["added"])
    rows = rows.order_by(*columns)
    return rows.reverse() if wanted.sort.startswith("-") else rows


def basket_counts(request: UseRequest) -> Mapping[str, int]:
    """How many items there are, and how many of each decision: one query."""
    counted: Mapping[str, int] = RequestItem.objects.filter(request=request).aggregate(
        all=Count("pk"), **{name: Count("pk", filter=condition) for name, condition in DECIDED.items()}
    )
    return counted


@dataclass(frozen=True)
class ChosenItems:
    """What was ticked to be removed. first: some of their numbers, for the page that asks."""

    free: int
    decided: int
    first: Sequence[str]


def chosen_items(request: UseRequest, items: Sequence[int] | None) -> ChosenItems:
    """What a removal would do; None for all items. Two queries."""
    rows = RequestItem.objects.filter(request=request)
    if items is not None:
        rows = rows.filter(pk__in=items)
    counted = rows.aggregate(all=Count("pk"), free=Count("pk", filter=Q(decision__isnull=True)))
    first = rows.filter(decision__isnull=True).order_by("pk").select_related("specimen")[:10]
    return ChosenItems(counted["free"], counted["all"] - counted["free"], [str(item.specimen) for item in first])


def requests_that_take(words: str = "") -> QuerySet[UseRequest]:
    """Requests into which specimens can be put, newest first, by words of number, title and recipient."""
    rows = UseRequest.objects.filter(closed_at__isnull=True, answered_at__isnull=True).select_related("recipient")
    for word in words.split():
        own = Q(reference__icontains=word) | Q(title__icontains=word) | Q(recipient__name__icontains=word)
        rows = rows.filter(own)
    return rows.annotate(item_count=Count("items")).order_by("-pk")
