"""What stands after a run, in short: specimens by layer and verdict."""

from __future__ import annotations

from collections import Counter
from typing import Any

from django.db.models import Count

from governance.engine.tables import Layer, Verdict
from governance.verdicts.caution import CAUTION
from governance.verdicts.models import Run, Standing
from governance.verdicts.summary import VERDICT_WORDS, verdict_table


def standing_counts() -> list[list[Any]]:
    """A table of specimens as computed: a header, a row a layer, and the specimens by their worst layer."""
    strips = Standing.objects.values_list("ruling__strip").annotate(count=Count("pk")).order_by()
    layers = {layer: Counter[int]() for layer in Layer}
    worst: Counter[int] = Counter()
    for strip, count in strips:
        for layer, digit in zip(Layer, strip, strict=True):
            layers[layer][int(digit)] += count
        worst[int(max(strip))] += count
    rows = [[layer.code, *(layers[layer][v] for v in Verdict)] for layer in Layer]
    return [["layer", *VERDICT_WORDS.values()], *rows, ["specimens", *(worst[v] for v in Verdict)]]


def print_summary(run: Run, console: Any) -> None:
    """The run in a line, the table, and the caution, on a rich console."""
    marks = f"Assessment {run.pk}: {run.judged:,} specimens judged, {run.changed:,} changed"
    console.print(marks, markup=False, highlight=False)
    console.print(verdict_table("Specimens of the register by layer and verdict", standing_counts(), console))
    console.print("A specimen counts under the worst of its layers; not required is no fault.", highlight=False)
    console.print(f"\n{CAUTION}", highlight=False, soft_wrap=True)
