"""Files dropped on the list of scans: received, and filed nowhere yet."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from accessions.people.access import Verb, person_of, requires
from governance.scans.actions.dropping import take_in_loose
from governance.scans.filed import received_summary
from governance.scans.views.filing import drop_form, wants_json


@require_POST
@requires(Verb.ATTACH_SCANS)
def scan_drop(request: HttpRequest) -> HttpResponse:
    """Receive what was dropped; the list offers what to do with each."""
    form = drop_form(request)
    if not form.is_valid():
        problem = " ".join(str(error) for errors in form.errors.values() for error in errors)
        if wants_json(request):
            return JsonResponse({"problem": problem}, status=form.status)
        messages.error(request, problem)
        return redirect("scans:scans")
    received = take_in_loose(drop=form.cleaned_data["drop"], by=person_of(request), why=form.cleaned_data["why"])
    if wants_json(request):
        rows = [{"key": one.key, "name": one.name, "outcome": one.outcome, "words": one.words} for one in received]
        return JsonResponse({"files": rows, "summary": received_summary(received)})
    for one in received:
        tell = messages.error if one.is_refused else messages.success
        tell(request, _("%(name)s: %(words)s") % {"name": one.name, "words": one.words})
    return redirect("scans:scans")
