"""Papers on file that are not linked, and would make an open cell covered if they were."""

from __future__ import annotations

from datetime import date

from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper
from governance.papers.queries import links_of
from governance.papers.queries.lasting import lasting_until
from governance.plans.judging import Answer, PaperUsed
from governance.plans.queries.check import CheckedCell, PlanCheck, bench_with, needed_on
from governance.plans.queries.speaking import attached, linked_anyway, stop_keys

Cell = tuple[int, Layer]


def candidates(check: PlanCheck) -> dict[Cell, tuple[PaperUsed, ...]]:
    """By stop and layer the papers that would make an open cell covered, alone or together; cells without: none.

    The papers are judged as if they were linked to the whole plan, so that what their limits leave is shared by all
    stops. Named are those that are not linked to the stop already.
    """
    wanted = [cell for cell in check.cells.values() if cell.needs_look]
    if not wanted:
        return {}
    loaded = check.loaded
    keys = stop_keys(loaded)
    own, linked = attached([loaded]), links_of(sorted(linked_anyway(loaded)))
    on_file = lasting_until(_first_day(wanted), Paper.layers_of(cell.layer for cell in wanted))
    speaking = {pk: frozenset(keys.values()) for pk in {*own, *linked, *on_file}}
    stops = {cell.stop.stop.pk for cell in wanted}
    bench, rows = bench_with(loaded, speaking)
    answers = bench.judge([row for row in rows if row.stop in stops], sorted({cell.layer for cell in wanted}))
    of_cell: dict[Cell, list[Answer]] = {}
    for answer in (answer for row in answers for answer in row):
        of_cell.setdefault((answer.row.stop, answer.layer), []).append(answer)
    found = {}
    for cell in wanted:
        stop = cell.stop.stop
        speaks = {pk for pk, attached_to in own.items() if keys[stop.pk] in attached_to}
        speaks |= {pk for pk, links in linked.items() if links.all_accessions or stop.site_id in links.sites}
        if new := _new(of_cell[stop.pk, cell.layer], speaks):
            found[stop.pk, cell.layer] = new
    return found


def _new(answers: list[Answer], speaks: set[int]) -> tuple[PaperUsed, ...]:
    """The papers of the answers that do not speak yet, if all rows of the cell are covered."""
    if any(answer.verdict != Verdict.COVERED for answer in answers):
        return ()
    return tuple({used.pk: used for answer in answers for used in answer.papers if used.pk not in speaks}.values())


def _first_day(cells: list[CheckedCell]) -> date | None:
    """The first day on which any of the papers must be there; None if one is not known."""
    days = [needed_on(cell) for cell in cells]
    known = [day for day in days if day]
    return min(known) if len(known) == len(days) else None
