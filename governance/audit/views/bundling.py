"""Evidence in one file: what it will hold, the file, and how far a large one is."""

from __future__ import annotations

from typing import IO, Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from accessions.people.access import Verb, person_of, requires
from governance.audit.actions import bundling as actions
from governance.audit.actions.errors import AuditError
from governance.audit.asking import UnknownValueError
from governance.audit.bundle.packing import safe_name
from governance.audit.bundle.subjects import subject_of
from governance.audit.clocks import AsKnownError
from governance.audit.forms.bundling import BundleForm, SubjectForm
from governance.audit.models import EvidenceBundle
from governance.scans.store import errors_of_the_store

_OWN = ("on", "known", "csrfmiddlewaretoken")
"""What the form asks for itself."""


@require_GET
@requires(Verb.EXPORT)
def bundle(request: HttpRequest) -> HttpResponse:
    """Of what, as of and as known on which day. Where nothing is named yet, it is asked for."""
    named = SubjectForm(request.GET)
    if "key" in request.GET and "of" not in request.GET and named.is_valid():
        return redirect(f"{reverse('audit:bundle')}?{urlencode({'of': named.of})}")
    return _page(request, request.GET, BundleForm(initial=request.GET.dict()))


@require_POST
@requires(Verb.EXPORT)
def bundle_make(request: HttpRequest) -> HttpResponseBase:
    """The file itself, or the page that tells how far it is."""
    form = BundleForm(request.POST)
    if not form.is_valid():
        return _page(request, request.POST, form)
    known, today = form.cleaned_data["known"], timezone.localdate()
    values = _values(request.POST)
    wanted = actions.Wanted(request.POST.get("of", ""), values, form.cleaned_data["on"] or today, known)
    try:
        made = actions.make(wanted=wanted, by=person_of(request))
    except (UnknownValueError, AsKnownError) as error:
        form.add_error(None, str(error))
        return _page(request, request.POST, form)
    except errors_of_the_store() as error:
        form.add_error(None, _("The store of the files cannot be read: %(why)s.") % {"why": type(error).__name__})
        return _page(request, request.POST, form)
    if isinstance(made, EvidenceBundle):
        return redirect("audit:bundle-progress", made.pk)
    file, subject = made
    return _given(file, subject.kind, subject.key)


@require_GET
@requires(Verb.EXPORT)
def bundle_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The page looks again every two seconds while it is made; the part of it that changes is asked for alone."""
    found = get_object_or_404(EvidenceBundle, pk=pk, asked_by=person_of(request))
    is_live = actions.goes_on(found)
    is_done = found.state == EvidenceBundle.State.DONE
    context = {
        "found": found, "is_live": is_live, "is_done": is_done, "until": found.asked_at + actions.KEPT,
        "again": _address(found),
    }  # fmt: skip
    name = "audit/_bundle_progress.html" if getattr(request, "htmx", False) else "audit/bundle_progress.html"
    return render(request, name, context)


@require_GET
@requires(Verb.EXPORT)
def bundle_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """A large one that was made."""
    found = get_object_or_404(EvidenceBundle, pk=pk, asked_by=person_of(request))
    try:
        file = actions.kept_file(row=found, by=person_of(request))
    except AuditError as error:
        messages.error(request, str(error))
        return redirect("audit:bundle-progress", pk)
    return _given(file, *found.of.split(":", 1))


def _page(request: HttpRequest, told: QueryDict, form: BundleForm) -> HttpResponse:
    context: dict[str, Any] = {"form": form, "subject": None, "problem": ""}
    if told.get("of"):
        try:
            context["subject"] = subject_of(str(told["of"]), _values(told), request.user)
        except UnknownValueError as error:
            context["problem"] = str(error)
    if context["subject"] is None:
        context["asks"] = _asks(told)
    context["hidden"] = [(name, value) for name, value in told.items() if name not in _OWN]
    context["made"] = EvidenceBundle.objects.filter(asked_by=person_of(request))[:10]
    return render(request, "audit/bundle.html", context, status=_status(context))


def _status(context: dict[str, Any]) -> int:
    if context["problem"]:
        return 404
    return max(int(context["form"].status), int(context["asks"].status) if "asks" in context else 200)


def _asks(told: QueryDict) -> SubjectForm:
    """The form that asks of what: with what could not be found, to be mended."""
    if "key" in told and "of" not in told:
        return SubjectForm(told)
    kind, _sign, key = str(told.get("of", "")).partition(":")
    return SubjectForm(initial={"kind": kind, "key": key} if key else {"key": kind})


def _values(told: QueryDict) -> dict[str, str]:
    return {name: str(value) for name, value in told.items() if name not in ("of", "csrfmiddlewaretoken")}


def _address(found: EvidenceBundle) -> str:
    """Of the page on which the same is made anew."""
    query = QueryDict(mutable=True)
    query.update({"of": found.of, **{name: value for name, value in found.values.items() if value}})
    return f"{reverse('audit:bundle')}?{query.urlencode()}"


def _given(file: IO[bytes], kind: str, key: str) -> FileResponse:
    name = f"{safe_name(f'evidence-{kind}-{key}')}.zip"
    answer = FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")
    answer["Cache-Control"] = "private, no-store"
    return answer
