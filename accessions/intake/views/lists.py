"""The files that came in, and bringing in another."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods, require_safe

from accessions.intake.actions import IntakeError, receive
from accessions.intake.forms import UploadForm
from accessions.intake.models import Batch
from accessions.intake.problems import FileProblems
from accessions.intake.queries import accession_numbers, batches, state_counts
from accessions.people.access import Verb, requires
from accessions.people.paging import paged


@require_safe
@requires(Verb.PREPARE_INTAKE)
def batch_list(request: HttpRequest) -> HttpResponse:
    """Files brought in, newest first."""
    state = request.GET.get("state", "")
    state = state if state in Batch.State.values else ""
    return render(
        request,
        "intake/batches.html",
        {"counts": state_counts(), "state": state, "states": Batch.State, **paged(request, batches(state))},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Verb.PREPARE_INTAKE)
def batch_new(request: HttpRequest) -> HttpResponse:
    """Bring in a file. Nothing of it enters the register yet."""
    form = UploadForm(request.POST or None, request.FILES or None) if request.method == "POST" else UploadForm()
    problems: tuple[object, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            return _received(request, form)
        except FileProblems as refused:
            problems = refused.problems
        except IntakeError as refused:
            form.add_error("file", str(refused))
    return render(
        request,
        "intake/batch_new.html",
        {"form": form, "problems": problems, "accession_numbers": accession_numbers()},
        status=422 if problems else form.status,
    )


def _received(request: HttpRequest, form: UploadForm) -> HttpResponse:
    file = form.cleaned_data["file"]
    batch, is_new = receive(
        file_name=file.name, data=file.read(), accession=form.cleaned_data["accession"], by=request.user,
        why=gettext_noop("Brought in"),
    )  # fmt: skip
    if is_new:
        messages.success(request, _("%(name)s is here. Nothing of it is in the register yet.") % {"name": file.name})
    else:
        messages.info(
            request,
            _("This very file was brought in before, as %(name)s. Nothing was changed.") % {"name": batch.file_name},
        )
    return redirect("intake:batch", batch.pk)
