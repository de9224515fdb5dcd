"""Papers on file to choose from when one is linked, and those that would close a gap."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.utils.translation import gettext as _

from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES, Paper, PaperKind
from governance.plans.queries.candidates import candidates
from governance.plans.queries.check import PlanCheck
from governance.plans.queries.plan_words import stops_words

_MOST = 500


@dataclass(frozen=True)
class Offer:
    """A paper that is not linked, and what would be covered with it. stop: the only one, None for several."""

    paper: Paper
    covers: tuple[str, ...]
    stop: int | None


def offers(check: PlanCheck) -> list[Offer]:
    """What ``candidates`` found, by paper; those that cover most first."""
    numbers = {one.stop.pk: number for number, one in enumerate(check.loaded.stops, start=1)}
    of_paper: dict[int, dict[Layer, set[int]]] = defaultdict(lambda: defaultdict(set))
    for (stop, layer), found in candidates(check).items():
        for used in found:
            of_paper[used.pk][layer].add(stop)
    made = [_offer(paper, of_paper[paper.pk], numbers) for paper in Paper.objects.filter(pk__in=of_paper)]
    return sorted(made, key=lambda one: (-_cells(of_paper[one.paper.pk]), one.paper.reference))


def _cells(layers: dict[Layer, set[int]]) -> int:
    return sum(len(stops) for stops in layers.values())


def _offer(paper: Paper, layers: dict[Layer, set[int]], numbers: dict[int, int]) -> Offer:
    covers = tuple(
        _("%(layer)s, %(stops)s")
        % {"layer": LAYER_NAMES[layer], "stops": stops_words([numbers[stop] for stop in stops], len(numbers))}
        for layer, stops in sorted(layers.items())
    )
    every = set().union(*layers.values())
    return Offer(paper, covers, every.pop() if len(every) == 1 else None)


def papers_to_choose(layer: str = "") -> list[tuple[str, str]]:
    """Reference and kind, for a list of suggestions; of one layer where its word is given."""
    wanted = next((one for one in Layer if one.code == layer), None)
    rows = Paper.objects.order_by("reference").values_list("reference", "kind", "layers")[:_MOST]
    return [
        (reference, str(PaperKind(kind).label))
        for reference, kind, layers in rows
        if wanted is None or layers >> wanted & 1
    ]
