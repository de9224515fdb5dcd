"""What was settled for a request speaks of the specimens that were in its basket then: the letter to a provider named
these, and whoever settled the papers of the way or saw the label had these before them. What came in later is not
agreed to, and not settled."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from governance.engine.tables import NONE, Layer
from governance.engine.uses import Tri, Way
from governance.usedesk.models import ExchangeLabel, ProviderQuestion, RequestItem
from governance.usedesk.queries.bearing import SpecimenRow
from governance.usedesk.queries.way import WayThere

Settled = int
"""Key of a question to a provider; less than nothing: a decision on a paper of the way (``of_layer``), or ``LABEL``."""

LABEL: Final[Settled] = -100
"""The label of a scientific exchange."""
_FEW: Final = 500


def of_layer(layer: Layer) -> Settled:
    """The decision on one paper of the way there."""
    return -1 - layer


def way_of(way: WayThere, late: Collection[Settled]) -> Way | None:
    """The way of specimens for which what is ``late`` was not settled."""
    layers = [layer for layer in way.decided or () if of_layer(layer) in late]
    return way.without(layers, label_counts=LABEL not in late)


def settled_at(request: int | None, way: WayThere, *, is_agreed: bool) -> dict[Settled, datetime]:
    """When each agreement was asked for, and when the papers of the way were settled. At most two queries."""
    found: dict[Settled, datetime] = {}
    if is_agreed:
        agreed = ProviderQuestion.objects.filter(request=request, reply=ProviderQuestion.Reply.AGREED).order_by()
        found |= agreed.values_list("pk", "recorded_at")
    found |= {of_layer(layer): decision.decided_at for layer, decision in (way.decided or {}).items()}
    if way.label == Tri.YES:
        found[LABEL] = ExchangeLabel.history.filter(request=request).latest().history_date
    return found


def not_covered(
    ids: Sequence[int], rows: Sequence[SpecimenRow], request: int | None, settled: Mapping[Settled, datetime]
) -> dict[frozenset[Settled], list[int]]:
    """The specimens by what was settled before they came into the basket, or without their ever being in it.

    What was taken from a specimen of the basket counts as that specimen. One query; none where nothing was settled.
    """
    if not settled:
        return {frozenset(): list(ids)}
    parent_of = {row.pk: row.parent for row in rows}
    added = _added(request, list(parent_of))
    found: dict[frozenset[Settled], list[int]] = {}
    for pk in ids:
        came = _came(pk, parent_of, added)
        found.setdefault(frozenset(one for one, at in settled.items() if came is None or came > at), []).append(pk)
    return found


def _added(request: int | None, keys: Sequence[int]) -> dict[int, datetime]:
    items: Any = RequestItem.objects.filter(request=request).order_by()
    if len(keys) <= _FEW:
        items = items.filter(specimen__in=keys)
    return dict(items.values_list("specimen", "added_at"))


def _came(pk: int, parent_of: Mapping[int, int], added: Mapping[int, datetime]) -> datetime | None:
    seen: set[int] = set()
    while pk != NONE and pk not in seen:
        if pk in added:
            return added[pk]
        seen.add(pk)
        pk = parent_of.get(pk, NONE)
    return None
