"""The calendar of a plan."""

from __future__ import annotations

from datetime import UTC

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.plans.calendar import calendar_file
from governance.plans.models import FieldPlan
from governance.plans.queries.check import check_plan
from governance.plans.queries.deadlines import plan_calendar


@require_GET
@requires(Verb.EXPORT)
def plan_ics(request: HttpRequest, pk: int) -> HttpResponse:
    """The days of a plan as an iCalendar file."""
    plan = get_object_or_404(FieldPlan, pk=pk)
    found = plan_calendar(check_plan(plan, today=timezone.localdate()), request.user)
    site = request.build_absolute_uri("/").rstrip("/")
    data = calendar_file(plan, found, now=timezone.now().astimezone(UTC), site=site)
    answer = HttpResponse(data, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{slugify(plan.reference) or plan.pk}.ics"'
    return answer
