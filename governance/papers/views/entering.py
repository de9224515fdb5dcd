"""Papers registered and corrected."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.actions import ChangedMeanwhileError
from governance.papers.forms.face import EditFaceForm, face_initial
from governance.papers.forms.linking import LinkForm
from governance.papers.forms.rows import more_rows, without_errors
from governance.papers.forms.sheet import PaperSheet, ReasonForm, TermsSheet, distribute
from governance.papers.models import Paper, PaperVersion
from governance.papers.queries.exchange_objects import exchange_object, stamp
from governance.papers.queries.pick_lists import pick_lists
from governance.papers.views.answers import status_of


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def paper_new(request: HttpRequest) -> HttpResponse:
    """Register a paper from its scan: face, first version, links, on one page."""
    asked = more_rows(request)
    sheet = PaperSheet(asked or request.POST.copy(), request.FILES) if request.method == "POST" else PaperSheet()
    links = LinkForm(asked or request.POST) if request.method == "POST" else LinkForm()
    if request.method == "POST" and not asked and all([sheet.is_valid(), links.is_valid()]):
        try:
            paper = actions.register(
                data=sheet.object(), targets=links.cleaned_data["targets"], by=request.user,
                why=_("registered"),
            )  # fmt: skip
        except FileProblems as problems:
            sheet.refuse(problems)
        else:
            messages.success(request, _("%(paper)s was registered.") % {"paper": paper})
            return redirect("papers:paper", paper.pk)
    sheet.terms.keep_files()
    if asked:
        without_errors([*sheet.forms, links])
    context = {"sheet": sheet, "terms": sheet.terms, "links": links, "all_forms": [*sheet.forms, links]}
    return _page(request, "papers/paper_new.html", context, refused=not asked)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def paper_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct the face of a paper."""
    paper = get_object_or_404(Paper, pk=pk)
    value = exchange_object(paper, with_links=False)
    form = EditFaceForm(
        request.POST if request.method == "POST" else None, initial=face_initial(value) | {"seen": stamp(value)}
    )
    if request.method == "POST" and form.is_valid():
        try:
            actions.edit_face(
                paper=paper, data=form.object(), by=request.user, why=form.cleaned_data["why"],
                seen=form.cleaned_data["seen"],
            )  # fmt: skip
        except FileProblems as problems:
            distribute(problems.problems, form, None, 0)
        except ChangedMeanwhileError as error:
            _tell_conflict(form, error, value)
        else:
            messages.success(request, _("The face of %(paper)s was corrected.") % {"paper": paper})
            return redirect("papers:paper", pk)
    return _page(request, "papers/paper_edit.html", {"form": form, "paper": paper, "all_forms": [form]})


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def version_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a version: it opens with the terms of the newest one, since an amendment changes little."""
    paper = get_object_or_404(Paper, pk=pk)
    value = exchange_object(paper, with_links=False)
    newest = dict(value["versions"][-1]) if value["versions"] else {}
    newest |= {"in_force_from": None, "in_force_to": None, "note": ""}

    def save(data: dict[str, Any], reason: ReasonForm) -> str:
        actions.add_version(paper=paper, data=data, by=request.user, **_told(reason))
        return _("A version of %(paper)s was added.") % {"paper": paper}

    return _terms_page(request, paper, value, newest, len(value["versions"]), save)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def version_edit(request: HttpRequest, pk: int, version_pk: int) -> HttpResponse:
    """Correct what was read from a version."""
    version = get_object_or_404(PaperVersion, pk=version_pk, paper=pk)
    value = exchange_object(version.paper, with_links=False)
    first = version.in_force_from.isoformat() if version.in_force_from else None
    number = next(n for n, told in enumerate(value["versions"]) if told["in_force_from"] == first)

    def save(data: dict[str, Any], reason: ReasonForm) -> str:
        actions.amend_version(
            paper=version.paper, start=version.in_force_from, data=data, by=request.user, **_told(reason)
        )
        return _("The reading of %(paper)s was corrected.") % {"paper": version.paper}

    return _terms_page(request, version.paper, value, value["versions"][number], number, save, version)


def _terms_page(
    request: HttpRequest, paper: Paper, value: dict[str, Any], initial: dict[str, Any], number: int, save: Any,
    version: PaperVersion | None = None,
) -> HttpResponse:  # fmt: skip
    asked = more_rows(request)
    data = (asked or request.POST.copy()) if request.method == "POST" else None
    terms = TermsSheet(data, request.FILES if data is not None else None, initial)
    reason = ReasonForm(data, initial={"seen": stamp(value)})
    if request.method == "POST" and not asked and all([terms.is_valid(), reason.is_valid()]):
        try:
            said = save(terms.object(), reason)
        except FileProblems as problems:
            distribute(problems.problems, None, terms, number)
        except ChangedMeanwhileError as error:
            _tell_conflict(reason, error, value)
        else:
            messages.success(request, said)
            return redirect("papers:paper", paper.pk)
    terms.keep_files()
    if asked:
        without_errors([*terms.forms, reason])
    context = {
        "terms": terms,
        "reason": reason,
        "paper": paper,
        "version": version,
        "all_forms": [*terms.forms, reason],
    }
    return _page(request, "papers/version_form.html", context, refused=not asked)


def _told(reason: ReasonForm) -> dict[str, str]:
    return {"why": reason.cleaned_data["why"], "seen": reason.cleaned_data["seen"]}


def _tell_conflict(form: Any, error: ChangedMeanwhileError, value: dict[str, Any]) -> None:
    """Say what happened, and let the next save count for what stands now: the person has been told."""
    form.add_error(None, str(error))
    form.data = form.data.copy()
    form.data[form.add_prefix("seen")] = stamp(value)


def _page(request: HttpRequest, template: str, context: dict[str, Any], *, refused: bool = True) -> HttpResponse:
    status = status_of(*context["all_forms"]) if refused else 200
    return render(request, template, context | {"picks": pick_lists()}, status=status)
