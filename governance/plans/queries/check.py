"""The check of a plan: every stop on every layer, what is lacking, and by when it must be asked for."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from governance.engine.tables import Layer, Verdict
from governance.papers.queries import links_of
from governance.plans.judging import Bench, PapersOfPlan, Speaking
from governance.plans.models import FieldPlan
from governance.plans.planned_rows import LoadedPlan, PlannedRow
from governance.plans.queries.cells import CALM, CheckedCell, cells_of
from governance.plans.queries.land_owners import land_owners
from governance.plans.queries.lead_times import lead_times
from governance.plans.queries.loading import load_plan, load_plans, open_plans, rows_of
from governance.plans.queries.needs import Need, asked_of, country_of, first_day, merged, needed_on, needs_of
from governance.plans.queries.speaking import attached, decided, linked_anyway

__all__ = [
    "CALM", "CheckedCell", "Need", "PlanCheck", "asked_of", "bench_of", "bench_with", "check_plan", "country_of",
    "first_day", "merged", "needed_on", "needs_of",
]  # fmt: skip


@dataclass(frozen=True)
class PlanCheck:
    """What the check found. cells: by stop and layer. needs: soonest to start first, those without a day last.

    bench: what it was judged on, for trials.
    """

    loaded: LoadedPlan
    rows: tuple[PlannedRow, ...]
    cells: dict[tuple[int, Layer], CheckedCell]
    needs: tuple[Need, ...]
    today: date
    bench: Bench = field(repr=False, compare=False)

    @property
    def open_cells(self) -> int:
        """Cells that somebody has to look at."""
        return sum(cell.needs_look for cell in self.cells.values())

    @property
    def all_cells(self) -> int:
        return len(self.cells)

    @cached_property
    def by_verdict(self) -> dict[Verdict, int]:
        """How many cells have each verdict, best first; every verdict is there."""
        counted = Counter(cell.verdict for cell in self.cells.values())
        return {verdict: counted[verdict] for verdict in Verdict}

    @property
    def ready(self) -> bool:
        """Whether every cell is covered or not required; a plan without stops is not ready."""
        return bool(self.cells) and not self.open_cells

    @property
    def late(self) -> tuple[Need, ...]:
        """What should have been started before today."""
        return tuple(need for need in self.needs if need.is_late)

    @property
    def critical(self) -> Need | None:
        """What must be started first: the slowest layer decides when the trip can begin."""
        return next((need for need in self.needs if need.start_by), None)

    def strip(self, stop: int) -> str:
        """Nine digits, a verdict a layer, as rulings keep them."""
        return "".join(str(int(self.cells[stop, layer].verdict)) for layer in Layer)


def check_plan(plan: FieldPlan, *, today: date) -> PlanCheck:
    """Judge a plan as it stands in the database, by the papers, sheets and house rules of now."""
    loaded = load_plan(plan)
    bench, rows = bench_of(loaded)
    cells = cells_of(loaded, bench.judge(rows), dict(zip(bench.paper_ids, bench.papers, strict=True)))
    needs = needs_of(cells.values(), lead_times(), today, _owners(cells))
    return PlanCheck(loaded, tuple(rows), cells, needs, today, bench)


def _owners(cells: dict[tuple[int, Layer], CheckedCell]) -> dict[int, str]:
    return land_owners(cell.stop for (_, layer), cell in cells.items() if layer == Layer.LAND and cell.needs_look)


def bench_of(loaded: LoadedPlan) -> tuple[Bench, list[PlannedRow]]:
    """What the plan is judged on, and its rows."""
    own = attached([loaded])
    return bench_with(loaded, {pk: own.get(pk, frozenset()) for pk in set(own) | linked_anyway(loaded)})


def bench_with(loaded: LoadedPlan, speaking: Speaking) -> tuple[Bench, list[PlannedRow]]:
    """The same with papers of one's own choice. speaking: by paper the stops for which it is linked."""
    papers = PapersOfPlan.read(speaking, links_of(sorted(speaking)))
    others = load_plans(open_plans(papers.capped, loaded.plan)) if papers.capped else []
    rows = rows_of([loaded, *others])
    bench = Bench(papers.also_for(attached(others)), decided(loaded), rows, loaded.plan.accession_id)
    return bench, [row for row in rows if row.plan == loaded.plan.pk]
