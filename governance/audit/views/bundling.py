"""Evidence in one file: what it will hold, and the file."""

from __future__ import annotations

import tempfile
from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from accessions.people.access import Verb, requires
from governance.audit.asking import UnknownValueError
from governance.audit.bundle.packing import safe_name
from governance.audit.bundle.subjects import subject_of
from governance.audit.bundle.writing import write_bundle
from governance.audit.clocks import AsKnownError, moment_of
from governance.audit.forms.bundling import BundleForm


@require_GET
@requires(Verb.EXPORT)
def bundle(request: HttpRequest) -> HttpResponse:
    """Of what, as known on which day."""
    form = BundleForm(request.GET or None)
    context: dict[str, Any] = {"form": form, "subject": None}
    if request.GET.get("of"):
        try:
            context["subject"] = subject_of(request.GET["of"], _values(request.GET))
        except UnknownValueError as error:
            context["problem"] = str(error)
    context["hidden"] = [(name, value) for name, value in request.GET.items() if name not in ("on", "known")]
    return render(request, "audit/bundle.html", context)


@require_POST
@requires(Verb.EXPORT)
def bundle_make(request: HttpRequest) -> HttpResponse | FileResponse:
    """The file itself."""
    form = BundleForm(request.POST)
    try:
        if not form.is_valid():
            raise UnknownValueError("on", "; ".join(str(one) for errors in form.errors.values() for one in errors))
        return _file(request.POST.get("of", ""), _values(request.POST), form, request.user)
    except (UnknownValueError, AsKnownError) as error:
        messages.error(request, str(error))
        return redirect("audit:questions")


def _values(told: Any) -> dict[str, str]:
    return {name: str(value) for name, value in told.items() if name not in ("of", "csrfmiddlewaretoken")}


def _file(of: str, values: dict[str, str], form: BundleForm, reader: Any) -> FileResponse:
    known = form.cleaned_data["known"]
    file = tempfile.TemporaryFile()  # noqa: SIM115  (the answer closes it when it was sent)
    try:
        subject = write_bundle(
            file, of, values, reader=reader, on=form.cleaned_data["on"] or timezone.localdate(),
            known_at=moment_of(known) if known else None,
        )  # fmt: skip
    except BaseException:
        file.close()
        raise
    file.seek(0)
    name = f"{safe_name(f'evidence-{subject.kind}-{subject.key}')}.zip"
    return FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")
