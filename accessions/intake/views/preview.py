"""What a file would do to the register, row by row, and the answers that it still needs."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_POST, require_safe

from accessions.intake.actions import IntakeError, answer_changes, choose_accession
from accessions.intake.forms import AccessionForm
from accessions.intake.models import Batch
from accessions.intake.previews import differing_rows, preview_of, row_answers, said_by_column, said_of_rows
from accessions.intake.queries import accession_numbers, batch_or_404
from accessions.people.access import Verb, requires
from accessions.people.paging import paged


@require_safe
@requires(Verb.PREPARE_INTAKE)
def batch_preview(request: HttpRequest, pk: int) -> HttpResponse:
    """Counts, errors and warnings by row, and differences from what is recorded."""
    batch = batch_or_404(pk)
    if batch.state != Batch.State.RECEIVED:
        return redirect("intake:batch", pk)
    preview = preview_of(batch)
    show = request.GET.get("show", "")
    rows = differing_rows(preview, batch) if show == "changes" else said_of_rows(preview, show, request.GET)
    context = {
        "batch": batch,
        "preview": preview,
        "show": show,
        "column": request.GET.get("column", ""),
        "by_column": said_by_column(preview),
        "accession_numbers": accession_numbers(),
        "accession_form": AccessionForm(initial={"accession": batch.accession or ""}),
    }
    return render(request, "intake/preview.html", context | paged(request, rows))


@require_POST
@requires(Verb.PREPARE_INTAKE)
def batch_accession(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the accession of rows that name none."""
    form = AccessionForm(request.POST)
    if not form.is_valid():
        messages.error(request, " ".join(map(str, form.errors["accession"])))
        return redirect("intake:batch-preview", pk)
    accession = form.cleaned_data["accession"]
    try:
        choose_accession(
            batch=batch_or_404(pk), accession=accession, by=request.user, why=gettext_noop("Accession chosen")
        )
    except IntakeError as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Rows that name no accession: %(number)s.") % {"number": accession or _("none")})
    return redirect("intake:batch-preview", pk)


@require_POST
@requires(Verb.PREPARE_INTAKE)
def batch_changes(request: HttpRequest, pk: int) -> HttpResponse:
    """Take or keep, for all rows that differ or for those of this page."""
    try:
        answer_changes(
            batch=batch_or_404(pk), for_all=request.POST.get("all", ""), rows=row_answers(request.POST),
            by=request.user, why=gettext_noop("Differences answered"),
        )  # fmt: skip
    except IntakeError as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Your answers are kept; nothing is in the register yet."))
    return redirect(f"{request.path.removesuffix('changes/')}preview/?show=changes")
