"""Assessments: the list, one of them, and asking for one."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from accessions.material.models import Specimen
from accessions.people.access import Verb, requires
from governance.verdicts.actions.asking import ask_for_assessment
from governance.verdicts.forms.assessments import AssessForm
from governance.verdicts.models import Run
from governance.verdicts.queries import runs as queries

PAGE_SIZE = 25


@require_safe
@requires(Verb.READ)
def run_list(request: HttpRequest) -> HttpResponse:
    """All assessments, the newest first; one that goes on stands above them."""
    page = Paginator(queries.runs(), PAGE_SIZE).get_page(request.GET.get("page"))
    for run in page.object_list:
        run.duration = queries.duration(run)  # type: ignore[attr-defined]
    goes_on = queries.going_on()
    waiting = queries.waiting_marks()
    context = {"page": page, "goes_on": goes_on, "waiting": waiting, "is_live": bool(goes_on or waiting)}
    return render(request, "verdicts/runs.html", context)


@require_safe
@requires(Verb.READ)
def run(request: HttpRequest, pk: int) -> HttpResponse:
    """One assessment: its numbers, what changed, what was used."""
    found = get_object_or_404(Run.objects.select_related("by"), pk=pk)
    context = {
        "run": found,
        "duration": queries.duration(found),
        "changes": queries.changes_of_run(found),
        "some": queries.some_changed(found) if found.state == Run.State.DONE else [],
        "used": queries.used_papers(found),
        "is_live": found.state in (Run.State.WAITING, Run.State.RUNNING),
    }
    return render(request, "verdicts/run.html", context)


@require_http_methods(["GET", "POST"])
@requires(Verb.ASSESS)
def assess(request: HttpRequest) -> HttpResponse:
    """Choose what to judge and say why; then see what it will be; then ask for it."""
    asked = request.POST or (request.GET if "why" in request.GET else None)
    form = AssessForm(asked, initial={"accession": request.GET.get("accession", "")})
    is_ready = asked is not None and form.is_valid()
    if request.method == "POST" and is_ready:
        ask_for_assessment(by=request.user, why=form.cleaned_data["why"], accession=form.cleaned_data["accession"])
        messages.success(request, _("The assessment is asked for. Small ones are done by now; a large one shows its "
                                    "progress here."))  # fmt: skip
        return redirect("verdicts:runs")
    accession = form.cleaned_data.get("accession") if is_ready else None
    specimens = Specimen.objects.filter(accession=accession) if accession else Specimen.objects.all()
    context = {"form": form, "is_ready": is_ready, "accession": accession, "specimens": specimens.count()}
    return render(request, "verdicts/assess.html", context, status=422 if form.errors else 200)
