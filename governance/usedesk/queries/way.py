"""The way there: export from the house's country, import over there, CITES; by country sheets, decisions, the label."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from governance.engine.requirements import Required, requirement, sources
from governance.engine.tables import Layer, Requirements
from governance.engine.uses import LEAVES, TRAVELS, Tri, Use, Way, WayCode
from governance.usedesk.exchange import label_holds
from governance.usedesk.models import DeskRules, ExchangeLabel, UseRequest, WayDecision
from governance.verdicts.feed.rules import sheet_rules

_CODES: Final = {
    Required.YES: WayCode.NEEDED,
    Required.NOT_REQUIRED: WayCode.NOT_NEEDED,
    Required.UNKNOWN: WayCode.NOT_KNOWN,
    Required.NO_RULE: WayCode.NOT_KNOWN,
}


@dataclass(frozen=True)
class WayThere:
    """What is known of the way. way: None where nothing crosses a border. decided: what stands, by layer.

    here, there: ISO 3166-1 of the house and of the place; "" is not told. rules: sources of rules by which a layer
    needs no paper. label: whether the label of a scientific exchange holds; None: no label is recorded.
    """

    way: Way | None
    here: str = ""
    there: str = ""
    decided: Mapping[Layer, WayDecision] | None = None
    rules: Mapping[Layer, tuple[str, ...]] | None = None
    label: Tri | None = None
    computed: Mapping[Layer, WayCode] | None = None
    """What is known of each paper beside decisions and label, for what was not seen when these were made."""

    def without(self, late: Collection[Layer], *, label_counts: bool = True) -> Way | None:
        """The way of specimens that came in after the decisions on some layers, or after the label."""
        if self.way is None or self.computed is None:
            return self.way
        codes = dict(self.computed)
        if label_counts and self.label == Tri.YES:
            codes[Layer.CITES] = WayCode.EXCHANGE_LABEL
        for layer, decision in (self.decided or {}).items():
            if layer not in late:
                codes[layer] = WayCode.HELD if decision.paper_id else WayCode.NOT_NEEDED
        return Way(codes[Layer.EXPORT], codes[Layer.IMPORT], codes[Layer.CITES])


def way_there(uses: tuple[Use, ...], country: str, day: date, request: int | None, seat: str = "") -> WayThere:
    """The way of material for some uses to a country. request: whose decisions and label count; None: of nobody.

    seat: of the recipient: material may go to one in another country although no place is told.
    """
    may_stay = not country and LEAVES.isdisjoint(uses)
    if TRAVELS.isdisjoint(uses) or (may_stay and not seat):
        return WayThere(None)
    house = DeskRules.objects.first() or DeskRules()
    here = house.country
    if may_stay and seat == here:
        return WayThere(None)
    if here and here == country:
        return WayThere(None, here, country)
    decided = _decisions(request, country)
    label = _label(request, house) if request is not None else None
    number = day.toordinal()
    requirements = Requirements((Layer.EXPORT, Layer.IMPORT), sheet_rules())
    places = ((Layer.EXPORT, here), (Layer.IMPORT, country))
    codes = {layer: _code(requirements, layer, place, number) for layer, place in places}
    codes[Layer.CITES] = WayCode.NEEDED if here and country else WayCode.NOT_KNOWN
    rules = {layer: sources(requirements, layer, place, (number, number)) for layer, place in places if place}
    there = WayThere(Way(), here, country, decided, rules, label, codes)
    return replace(there, way=there.without(()))


def _code(requirements: Requirements, layer: Layer, country: str, day: int) -> WayCode:
    """Where the country is not known, nothing is."""
    return _CODES[requirement(requirements, layer, country, (day, day))] if country else WayCode.NOT_KNOWN


def _decisions(request: int | None, country: str) -> dict[Layer, WayDecision]:
    """Decisions that stand and were made for this country: for another place they say nothing."""
    if request is None:
        return {}
    rows = WayDecision.objects.filter(request=request, withdrawn_at__isnull=True).select_related("paper")
    return {Layer(row.layer): row for row in rows if _country_then(row) == country}


def _country_then(decision: WayDecision) -> str:
    """The country that the request named when the decision was made."""
    states = UseRequest.history.filter(id=decision.request_id)
    before = states.filter(history_date__lte=decision.decided_at).order_by("-history_date", "-history_id")
    then = before.values_list("country", flat=True).first()
    if then is None:
        then = states.order_by("history_date", "history_id").values_list("country", flat=True).first()
    return str(then or "")


def _label(request: int, house: DeskRules) -> Tri | None:
    row = ExchangeLabel.objects.filter(request=request).select_related("request__recipient").first()
    if row is None:
        return None
    return label_holds(row, sender=house, recipient=row.request.recipient, commercial=row.request.commercial)
