"""Papers to choose from when one is attached."""

from __future__ import annotations

from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperKind

_MOST = 500


def papers_to_choose(layer: str = "") -> list[tuple[str, str]]:
    """Reference and kind, for a list of suggestions; of one layer where its word is given."""
    wanted = next((one for one in Layer if one.code == layer), None)
    rows = Paper.objects.order_by("reference").values_list("reference", "kind", "layers")[:_MOST]
    return [
        (reference, str(PaperKind(kind).label))
        for reference, kind, layers in rows
        if wanted is None or layers >> wanted & 1
    ]
