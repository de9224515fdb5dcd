"""After the trip: the accession held against the plan."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.paging import paged
from governance.plans.forms.after import AfterFilterForm
from governance.plans.queries.after import after_trip
from governance.plans.queries.after_rows import HEADER, rows_of
from governance.plans.views.one_plan import found_plan


@require_safe
@requires(Verb.READ)
def plan_after(request: HttpRequest, pk: int) -> HttpResponse:
    """What was done otherwise than planned, and which of it matters."""
    plan = found_plan(pk)
    after = after_trip(plan)
    form = AfterFilterForm(request.GET or None)
    shown = form.shown(after.events) if after else []
    context: dict[str, Any] = {"plan": plan, "after": after, "form": form, "show": form.choice, "shown": len(shown)}
    return render(request, "plans/after.html", context | paged(request, shown))


@require_safe
@requires(Verb.EXPORT)
def plan_after_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """Every difference as a row of a file, and a row for each event that went as planned."""
    plan = found_plan(pk)
    after = after_trip(plan)
    name = _("after-the-trip-%(plan)s.csv") % {"plan": "".join(c if c.isalnum() else "-" for c in plan.reference)}
    return csv_answer(name, [str(word) for word in HEADER], rows_of(after) if after else ())
