"""The rules of the desk as its page shows them: each with who set it and when, and what counts where none is set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Count, F, Q, QuerySet

from governance.engine.uses import NO_PAPER, Use
from governance.engine.uses.tables import UNGATED
from governance.papers.models import USE_NAMES
from governance.usedesk.models import CitesListing, DeskRules, FootingRule, SilenceRule

SORTS = {"name": "name", "kingdom": "kingdom", "appendix": "appendix", "from": "from_on", "to": "to_on",
         "checked": "checked_on"}  # fmt: skip


@dataclass(frozen=True)
class Kept:
    """A rule with who set it last, and when; "" where that is not known."""

    rule: Any
    by: str
    at: datetime | None


@dataclass(frozen=True)
class FootingLine:
    """A use with its rule; rule None: the default counts. is_open: by default it is open to all material."""

    use: Use
    name: Any
    kept: Kept | None
    is_open: bool


@dataclass(frozen=True)
class ListingFilter:
    """What the list of names is narrowed to; blank is all. on: listed on that day."""

    q: str = ""
    appendix: str = ""
    on: date | None = None
    sort: str = "name"


def desk_rules() -> DeskRules:
    """Where the house is; the defaults of the model where nobody said it."""
    return DeskRules.objects.first() or DeskRules(pk=1)


def silence_rules() -> list[Kept]:
    """All readings of silence, the general ones first."""
    return _kept(SilenceRule, SilenceRule.objects.all())


def footing_lines() -> list[FootingLine]:
    """Every use, in the order of screens."""
    by_use = {kept.rule.use: kept for kept in _kept(FootingRule, FootingRule.objects.all())}
    return [FootingLine(use, USE_NAMES[use], by_use.get(use), use in UNGATED) for use in Use]


def _kept(model: Any, rows: Iterable[Any]) -> list[Kept]:
    found = list(rows)
    entries = model.history.filter(id__in=[row.pk for row in found]).select_related("history_user")
    last = {entry.id: entry for entry in entries.order_by("history_date", "history_id")}
    return [_one(row, last.get(row.pk)) for row in found]


def _one(row: Any, entry: Any) -> Kept:
    if entry is None:
        return Kept(row, "", None)
    return Kept(row, entry.history_user.shown_name if entry.history_user else "", entry.history_date)


def listings(wanted: ListingFilter) -> QuerySet[CitesListing]:
    """Listed names, narrowed and ordered."""
    rows = CitesListing.objects.all()
    for word in wanted.q.split():
        rows = rows.filter(Q(name__icontains=word) | Q(kingdom__iexact=word) | Q(source__icontains=word))
    if wanted.appendix:
        rows = rows.filter(appendix=wanted.appendix)
    if wanted.on:
        rows = rows.filter(Q(from_on__isnull=True) | Q(from_on__lte=wanted.on))
        rows = rows.filter(Q(to_on__isnull=True) | Q(to_on__gte=wanted.on))
    column = F(SORTS[wanted.sort.removeprefix("-")])
    order = column.desc(nulls_last=True) if wanted.sort.startswith("-") else column.asc(nulls_last=True)
    return rows.order_by(order, "name", "from_on", "pk")


def listing_counts(today: date) -> dict[str, int]:
    """How many names there are, and how many are listed today."""
    in_force = (Q(from_on__isnull=True) | Q(from_on__lte=today)) & (Q(to_on__isnull=True) | Q(to_on__gte=today))
    found: dict[str, int] = CitesListing.objects.aggregate(all=Count("pk"), today=Count("pk", filter=in_force))
    return found


def has_any_reading(rules: Sequence[Kept]) -> tuple[bool, bool]:
    """Whether silence of any paper on any use is read somehow, and whether "no paper speaks" is."""
    return (
        any(kept.rule.use is None and kept.rule.paper_kind == "" for kept in rules),
        any(kept.rule.use is None and kept.rule.paper_kind == NO_PAPER for kept in rules),
    )
