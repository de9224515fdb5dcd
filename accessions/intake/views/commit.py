"""The commit, the rows that were given back, the stored file, and setting a file aside."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from accessions.intake.actions import IntakeError, commit, discard
from accessions.intake.models import Batch
from accessions.intake.previews import summary_words
from accessions.intake.queries import batch_or_404
from accessions.intake.returned import returned_file
from accessions.intake.stored import plan_of, table_of
from accessions.people.access import Verb, requires


@require_POST
@requires(Verb.COMMIT_INTAKE)
def batch_commit(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the rows, all or none; with "good" in the form, without those that need correction."""
    good_rows_only = request.POST.get("rows") == "good"
    why = _reason(request, _("File committed"))
    try:
        batch = commit(batch=batch_or_404(pk), by=request.user, why=why, good_rows_only=good_rows_only)
    except IntakeError as refused:
        messages.error(request, str(refused))
        return redirect("intake:batch-preview", pk)
    messages.success(request, summary_words(batch.summary))
    return redirect("intake:batch", pk)


def _reason(request: HttpRequest, otherwise: str) -> str:
    """The reason that was typed, without NUL, which PostgreSQL refuses."""
    return request.POST.get("why", "").replace("\0", "").strip() or otherwise


@require_safe
@requires(Verb.PREPARE_INTAKE)
def batch_errors(request: HttpRequest, pk: int) -> HttpResponse:
    """The rows that need correction, in their own columns, with the reasons."""
    batch = batch_or_404(pk)
    name, media_type, data = returned_file(table_of(batch), plan_of(batch))
    return _download(name, media_type, data)


@require_safe
@requires(Verb.PREPARE_INTAKE)
def batch_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The file as it came in, never shown by the browser itself."""
    batch = batch_or_404(pk)
    return _download(batch.file_name, "application/octet-stream", bytes(batch.data))


def _download(name: str, media_type: str, data: bytes) -> HttpResponse:
    answer = HttpResponse(data, content_type=media_type)
    answer.headers["Content-Disposition"] = (
        content_disposition_header(as_attachment=True, filename=name) or "attachment"
    )
    answer.headers["X-Content-Type-Options"] = "nosniff"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@requires(Verb.PREPARE_INTAKE)
def batch_discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Set a file aside that is not committed, after a question."""
    batch = batch_or_404(pk)
    if batch.state != Batch.State.RECEIVED:
        return redirect("intake:batch", pk)
    if request.method != "POST":
        return render(request, "intake/batch_discard.html", {"batch": batch})
    try:
        discard(batch=batch, by=request.user, why=_reason(request, _("Discarded")))
    except IntakeError as refused:
        messages.error(request, str(refused))
        return redirect("intake:batch", pk)
    messages.success(request, _("%(name)s is discarded; the register was not touched.") % {"name": batch.file_name})
    return redirect("intake:batches")
