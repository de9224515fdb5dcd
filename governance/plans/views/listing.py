"""All field plans."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.plans.forms.plans import PlanFilterForm
from governance.plans.models import FieldPlan
from governance.plans.queries.listing import plan_rows, plans

CSV_HEADER = (
    "plan", "title", "led by", "first day", "last day", "countries", "stops", "state", "changed since sign-off",
    "accession",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def plan_list(request: HttpRequest) -> HttpResponse:
    """All plans, narrowed and ordered as asked."""
    form = PlanFilterForm(request.GET)
    narrowed = form.narrowed()
    pages = paged(request, plans(narrowed))
    context = {
        "form": form, "narrowed": narrowed, "all_plans": FieldPlan.objects.count(),
        "rows": plan_rows(list(pages["page"].object_list)), "asked": request.GET.urlencode(),
    }  # fmt: skip
    return render(request, "plans/plans.html", context | pages)


@require_GET
@requires(Verb.EXPORT)
def plans_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The same list as CSV."""
    found = plan_rows(list(plans(PlanFilterForm(request.GET).narrowed())))
    return csv_answer("field-plans.csv", CSV_HEADER, _csv_rows(found))


def _csv_rows(rows: Any) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        plan = row.plan
        yield (
            plan.reference, plan.title, plan.leader, plan.first_on, plan.last_on, " | ".join(row.countries),
            plan.stop_count, row.state, "yes" if row.changed_since else "",
            plan.accession.number if plan.accession else "",
        )  # fmt: skip
