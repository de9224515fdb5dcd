"""The papers of the way there, as they were decided for the request."""

from __future__ import annotations

from governance.engine.tables import Layer
from governance.engine.uses import Tri
from governance.usedesk.models import UseRequest, WayDecision
from governance.usedesk.queries.exchange import exchange_holds, label_of
from governance.usedesk.sheet.contents import WayPaper


def way_papers(request: UseRequest | None) -> tuple[WayPaper, ...]:
    """Papers that are held, and the label of a scientific exchange if all five conditions are seen to hold."""
    if request is None:
        return ()
    rows = WayDecision.objects.filter(request=request, withdrawn_at__isnull=True, paper__isnull=False)
    held = rows.order_by("layer").values_list("layer", "paper__reference")
    found = [WayPaper(Layer(layer).code, reference) for layer, reference in held]
    label = label_of(request)
    if label is not None and exchange_holds(request) == Tri.YES:
        found.append(WayPaper(Layer.CITES.code, label.label_number, is_label=True))
    return tuple(found)
