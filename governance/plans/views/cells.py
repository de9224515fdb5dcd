"""One layer at one stop of a plan."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.plans.models import Stop
from governance.plans.queries.check import check_plan
from governance.plans.queries.matrix import MatrixCell, Only, margin_words, matrix_of
from governance.plans.queries.need_lines import NeedLine
from governance.plans.queries.one_cell import answer_groups, applications_for, candidate_papers
from governance.plans.queries.one_plan import decided_of, standing_decisions
from governance.plans.views.decisions import layer_of
from governance.plans.views.one_plan import found_plan


@require_GET
@requires(Verb.READ)
def plan_cell(request: HttpRequest, pk: int, stop: int, layer: str) -> HttpResponse:
    """The answer of a cell with all that led to it, and what would settle it."""
    plan, wanted = found_plan(pk), layer_of(layer)
    get_object_or_404(Stop, pk=stop, plan=plan)
    check = check_plan(plan, today=timezone.localdate())
    decisions = standing_decisions(plan)
    matrix = matrix_of(check, Only(), decided_of(decisions, check.loaded))
    row = next(row for row in matrix.rows if row.checked.stop.stop.pk == stop)
    shown: MatrixCell = row.cells[wanted]
    number = matrix.rows.index(row)
    context = {
        "plan": plan, "check": check, "row": row, "shown": shown, "groups": answer_groups(shown.checked),
        "need": NeedLine(shown.need, (number + 1,), len(matrix.rows), check.today) if shown.need else None,
        "candidates": candidate_papers(check, stop, wanted),
        "applications": applications_for(plan, stop, wanted),
        "margin": margin_words(shown.checked.margin_days),
        "decisions": [one for one in decisions if one.layer == wanted and one.stop_id in (None, stop)],
        "before": matrix.rows[number - 1].cells[wanted] if number else None,
        "after": matrix.rows[number + 1].cells[wanted] if number + 1 < len(matrix.rows) else None,
    }  # fmt: skip
    return render(request, "plans/plan_cell.html", context)
