"""The days of a stop, changed from the matrix."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, requires
from accessions.people.entry_forms import posted
from governance.plans.actions.locking import PlanError
from governance.plans.actions.stops import edit_stop
from governance.plans.forms.stop_days import StopDaysForm
from governance.plans.models import Stop
from governance.plans.views.in_place import changed, refused
from governance.plans.views.trying import newest_number


@require_http_methods(["GET", "POST"])
@requires(Verb.PLAN_TRIPS)
def stop_days(request: HttpRequest, pk: int) -> HttpResponse:
    """Change first and last day; traps keep theirs."""
    stop = get_object_or_404(Stop.objects.select_related("plan").prefetch_related("traps"), pk=pk)
    form = StopDaysForm(posted(request), stop=stop, seen=newest_number(stop.plan))
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            edit_stop(stop=stop, values=form.days, by=request.user, why=told["why"] or _("days"), seen=told["seen"])
        except PlanError as problem:
            form.add_error(None, str(problem))
        except ValidationError as problem:
            form.refuse(problem)
        else:
            messages.success(
                request, _("The days of %(name)s were saved; the check was made again.") % {"name": stop.name}
            )
            return changed(request, stop.plan_id)
    context = {"plan": stop.plan, "stop": stop, "form": form}
    return refused(request, render(request, "plans/stop_days.html", context, status=form.status))
