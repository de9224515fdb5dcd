"""A month of duties, as weeks or as a list."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.duties.models import Duty
from governance.duties.queries.listing import MINE, ahead_days
from governance.duties.queries.months import listed, month, month_of
from governance.duties.queries.today import numbers


@require_GET
@requires(Verb.READ)
def calendar(request: HttpRequest) -> HttpResponse:
    """The month that is asked for, of everybody or of oneself."""
    today, ahead = timezone.localdate(), ahead_days()
    first = month_of(request.GET.get("month", ""), today)
    who = MINE if request.GET.get("who") == MINE else ""
    found = month(first, who, request.user, today, ahead)
    is_list = request.GET.get("as") == "list"
    context = {
        "month": found, "today": today, "who": who, "is_list": is_list,
        "numbers": numbers(Duty.objects.all(), today, ahead), "days": listed(found) if is_list else [],
    }  # fmt: skip
    return render(request, "duties/calendar.html", context)
