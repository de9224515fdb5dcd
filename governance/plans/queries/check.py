"""The check of a plan: every stop on every layer, what is lacking, and by when it must be asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from accessions.values import read_event_date
from governance.engine.tables import Layer, Verdict
from governance.papers.models import PaperVersion
from governance.papers.queries import links_of
from governance.plans.judging import Answer, Bench, PapersOfPlan, PaperUsed, Speaking
from governance.plans.models import FieldPlan
from governance.plans.planned_rows import LoadedPlan, LoadedStop, PlannedRow
from governance.plans.queries.lead_times import LeadTime, LeadTimes, lead_times
from governance.plans.queries.loading import load_plan, load_plans, open_plans, rows_of
from governance.plans.queries.speaking import attached, decided, linked_anyway

CALM = (Verdict.COVERED, Verdict.NOT_REQUIRED)


@dataclass(frozen=True)
class CheckedCell:
    """One stop on one layer: the worst of its rows.

    answers: of every row, worst first. margin_days: days between the last day and the end of the papers that cover it;
    None where they are open, or nothing covers.
    """

    stop: LoadedStop
    layer: Layer
    verdict: Verdict
    answers: tuple[Answer, ...]
    margin_days: int | None = None

    @property
    def worst(self) -> Answer:
        return self.answers[0]

    @property
    def papers(self) -> tuple[PaperUsed, ...]:
        """The papers of the rows that decided, each once."""
        deciding = [answer for answer in self.answers if answer.verdict == self.verdict]
        return tuple({used.pk: used for answer in deciding for used in answer.papers}.values())

    @property
    def reasons(self) -> tuple[str, ...]:
        """The sentences of the rows that decided, each once, in the order of the rows."""
        deciding = [answer for answer in self.answers if answer.verdict == self.verdict]
        return tuple(dict.fromkeys(text for answer in deciding for _, text in answer.findings))

    @property
    def needs_look(self) -> bool:
        return self.verdict not in CALM


@dataclass(frozen=True)
class Need:
    """Something to settle before leaving: one layer, one verdict, one authority, perhaps several stops.

    lead: how long it takes, by the country sheet; None where no sheet says. needed_on: the first day on which it must
    be there; None where no day is fixed. start_by: needed_on less the lead time.
    """

    layer: Layer
    verdict: Verdict
    cells: tuple[CheckedCell, ...]
    lead: LeadTime
    needed_on: date | None
    start_by: date | None
    is_late: bool

    @property
    def stops(self) -> tuple[LoadedStop, ...]:
        return tuple(cell.stop for cell in self.cells)


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
        return sum(cell.needs_look for cell in self.cells.values())

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
    cells = _cells(loaded, bench.judge(rows))
    return PlanCheck(loaded, tuple(rows), cells, needs_of(cells.values(), lead_times(), today), today, bench)


def bench_of(loaded: LoadedPlan) -> tuple[Bench, list[PlannedRow]]:
    """What the plan is judged on, and its rows."""
    own = attached([loaded])
    return bench_with(loaded, {pk: own.get(pk, frozenset()) for pk in set(own) | linked_anyway(loaded)})


def bench_with(loaded: LoadedPlan, speaking: Speaking) -> tuple[Bench, list[PlannedRow]]:
    """The same with papers of one's own choice. speaking: by paper the stops for which it is attached."""
    papers = PapersOfPlan.read(speaking, links_of(sorted(speaking)))
    others = load_plans(open_plans(papers.capped, loaded.plan)) if papers.capped else []
    rows = rows_of([loaded, *others])
    bench = Bench(papers.also_for(attached(others)), decided(loaded), rows, loaded.plan.accession_id)
    return bench, [row for row in rows if row.plan == loaded.plan.pk]


def _cells(loaded: LoadedPlan, answers: Sequence[Sequence[Answer]]) -> dict[tuple[int, Layer], CheckedCell]:
    of_cell: dict[tuple[int, Layer], list[Answer]] = defaultdict(list)
    for row in answers:
        for answer in row:
            of_cell[answer.row.stop, answer.layer].append(answer)
    ends = _ends(used for row in answers for answer in row for used in answer.papers)
    cells = {}
    for one in loaded.stops:
        for layer in Layer:
            found = sorted(of_cell[one.stop.pk, layer], key=lambda answer: -answer.verdict)
            cells[one.stop.pk, layer] = CheckedCell(one, layer, found[0].verdict, tuple(found), _margin(found, ends))
    return cells


Ends = dict[tuple[int, int | None], date | None]


def _ends(used: Iterable[PaperUsed]) -> Ends:
    """By paper and start of the version, its last day."""
    rows = PaperVersion.objects.filter(paper__in={one.pk for one in used}).values_list(
        "paper_id", "in_force_from", "in_force_to"
    )
    return {(paper, first.toordinal() if first else None): last for paper, first, last in rows}


def _margin(answers: Sequence[Answer], ends: Ends) -> int | None:
    """The least margin of what covers on the collecting layers; None if an end is open or anything is not covered."""
    margins = []
    for answer in answers:
        lasts = [ends.get((used.pk, start)) for used in answer.papers for start in used.versions]
        if answer.verdict != Verdict.COVERED or answer.row.last_on is None or answer.layer >= Layer.EXPORT:
            return None
        if lasts and all(lasts):
            margins.append((max(last for last in lasts if last) - answer.row.last_on).days)
    return min(margins, default=None)


def needs_of(cells: Iterable[CheckedCell], leads: LeadTimes, today: date) -> tuple[Need, ...]:
    """What is to be settled, cells of one layer, verdict and authority together."""
    together: dict[tuple[Layer, Verdict, str], list[CheckedCell]] = defaultdict(list)
    for cell in cells:
        if cell.needs_look:
            together[cell.layer, cell.verdict, country_of(cell)].append(cell)
    needs = [
        _need(layer, verdict, country, found, leads, today) for (layer, verdict, country), found in together.items()
    ]
    return tuple(sorted(needs, key=lambda need: (need.start_by or date.max, need.needed_on or date.max, need.layer)))


def _need(
    layer: Layer, verdict: Verdict, country: str, cells: Sequence[CheckedCell], leads: LeadTimes, today: date
) -> Need:
    needed = [day for cell in cells if (day := needed_on(cell))]
    first = min(needed, default=None)
    lead = leads.of(country, layer, first)
    start_by = first - timedelta(lead.days) if first and lead.days is not None else None
    return Need(layer, verdict, tuple(cells), lead, first, start_by, bool(start_by and start_by < today))


def country_of(cell: CheckedCell) -> str:
    """The country whose sheet speaks: of the stop, or of its site."""
    stop = cell.stop.stop
    return stop.country or (stop.site.country if stop.site else "")


def needed_on(cell: CheckedCell) -> date | None:
    """The first day on which the paper must be there: the day of the way home for its layers, else that of the stop."""
    home = cell.stop.home
    if cell.layer < Layer.EXPORT:
        return cell.stop.days[0]
    if home is None:
        return None
    text = {Layer.IMPORT: home.imported_on, Layer.TRANSFER: home.transferred_on}.get(cell.layer, home.exported_on)
    return first_day(text)


def first_day(text: str) -> date | None:
    """The first day of a date as written; None where it cannot be read."""
    read = read_event_date(text)
    return date.fromordinal(read.earliest_day) if read.earliest_day is not None else None
