"""Papers registered and corrected."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from accessions.intake.problems import FileProblems
from accessions.people.access import Verb, requires
from governance.papers import actions
from governance.papers.actions import ChangedMeanwhileError
from governance.papers.forms.face import EditFaceForm, face_initial
from governance.papers.forms.linking import LinkForm
from governance.papers.forms.offers import FACE_FIELDS, TERM_FIELDS, OffersBeside
from governance.papers.forms.rows import more_rows, without_errors
from governance.papers.forms.sheet import PaperSheet, ReasonForm, TermsSheet, distribute
from governance.papers.models import Paper, PaperVersion
from governance.papers.queries.beside import pages_of, scan_beside
from governance.papers.queries.exchange_objects import exchange_object, stamp
from governance.papers.queries.pick_lists import pick_lists
from governance.papers.restriction import for_readers
from governance.papers.views.answers import status_of


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
def paper_new(request: HttpRequest) -> HttpResponse:
    """Register a paper from its scan: face, first version, links, on one page."""
    offers = OffersBeside(scan_beside(None, request.user, _asked(request)), (*FACE_FIELDS, *TERM_FIELDS))
    asked = more_rows(request) or offers.taken_over(request)
    data = (asked or request.POST.copy()) if request.method == "POST" else None
    sheet = PaperSheet(data, request.FILES) if data is not None else PaperSheet()
    links = LinkForm(data)
    if data is not None and not asked and all([sheet.is_valid(), links.is_valid()]):
        value, targets, why = sheet.object(), links.cleaned_data["targets"], _("registered")
        version = next(iter(value["versions"]), None)
        read = offers.read(data, face=value, version=version, pages=sheet.terms.pages.pages())
        try:
            paper = actions.saved_from_scan(
                save=lambda: actions.register(data=value, targets=targets, by=request.user, why=why),
                read=read, by=request.user, why=why,
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
    context |= offers.context(sheet.face, sheet.terms.version, data=data)
    return _page(request, "papers/paper_new.html", context, refused=not asked)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
@for_readers
def paper_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct the face of a paper."""
    paper = get_object_or_404(Paper, pk=pk)
    value = exchange_object(paper, with_links=False)
    offers = OffersBeside(scan_beside(paper, request.user, _asked(request)), FACE_FIELDS)
    asked = offers.taken_over(request)
    data = (asked or request.POST.copy()) if request.method == "POST" else None
    form = EditFaceForm(data, initial=face_initial(value) | {"seen": stamp(value)})
    if data is not None and not asked and form.is_valid():
        told = _told(form)
        try:
            actions.saved_from_scan(
                save=lambda: actions.edit_face(paper=paper, data=form.object(), by=request.user, **told),
                read=offers.read(data, face=form.object(), version=None), by=request.user, why=told["why"],
            )  # fmt: skip
        except FileProblems as problems:
            distribute(problems.problems, form, None, 0)
        except ChangedMeanwhileError as error:
            _tell_conflict(form, error, value)
        else:
            messages.success(request, _("The face of %(paper)s was corrected.") % {"paper": paper})
            return redirect("papers:paper", pk)
    if asked:
        without_errors([form])
    context = {"form": form, "paper": paper, "all_forms": [form]} | offers.context(form, data=data)
    return _page(request, "papers/paper_edit.html", context, refused=not asked)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a version: it opens with the terms of the newest one, since an amendment changes little."""
    paper = get_object_or_404(Paper, pk=pk)
    value = exchange_object(paper, with_links=False)
    newest = dict(value["versions"][-1]) if value["versions"] else {}
    newest |= {"in_force_from": None, "in_force_to": None, "note": ""}

    def save(data: dict[str, Any], told: dict[str, str]) -> Paper:
        return actions.add_version(paper=paper, data=data, by=request.user, **told)

    return _terms_page(request, paper, value, newest, len(value["versions"]), save)


@require_http_methods(["GET", "POST"])
@requires(Verb.REGISTER_PAPERS)
@for_readers
def version_edit(request: HttpRequest, pk: int, version_pk: int) -> HttpResponse:
    """Correct what was read from a version."""
    version = get_object_or_404(PaperVersion, pk=version_pk, paper=pk)
    value = exchange_object(version.paper, with_links=False)
    first = version.in_force_from.isoformat() if version.in_force_from else None
    number = next(n for n, told in enumerate(value["versions"]) if told["in_force_from"] == first)

    def save(data: dict[str, Any], told: dict[str, str]) -> Paper:
        return actions.amend_version(
            paper=version.paper, start=version.in_force_from, data=data, by=request.user, **told
        )  # fmt: skip

    return _terms_page(request, version.paper, value, value["versions"][number], number, save, version)


def _terms_page(
    request: HttpRequest, paper: Paper, value: dict[str, Any], initial: dict[str, Any], number: int,
    save: Callable[[dict[str, Any], dict[str, str]], Paper], version: PaperVersion | None = None,
) -> HttpResponse:  # fmt: skip
    offers = OffersBeside(scan_beside(paper, request.user, _asked(request)), TERM_FIELDS)
    asked = more_rows(request) or offers.taken_over(request)
    data = (asked or request.POST.copy()) if request.method == "POST" else None
    terms = TermsSheet(data, request.FILES if data is not None else None, initial, pages=pages_of(version))
    reason = ReasonForm(data, initial={"seen": stamp(value)})
    if data is not None and not asked and all([terms.is_valid(), reason.is_valid()]):
        told, typed = _told(reason), terms.object()
        read = offers.read(data, face={}, version=typed, pages=terms.pages.pages())
        try:
            actions.saved_from_scan(save=lambda: save(typed, told), read=read, by=request.user, why=told["why"])
        except FileProblems as problems:
            distribute(problems.problems, None, terms, number)
        except ChangedMeanwhileError as error:
            _tell_conflict(reason, error, value)
        else:
            said = _("The reading of %(paper)s was corrected.") if version else _("A version of %(paper)s was added.")
            messages.success(request, said % {"paper": paper})
            return redirect("papers:paper", paper.pk)
    terms.keep_files()
    all_forms = [*terms.forms, reason]
    if asked:
        without_errors(all_forms)
    context = {"terms": terms, "reason": reason, "paper": paper, "version": version, "all_forms": all_forms,
               "is_first": version is None and number == 0}  # fmt: skip
    context |= offers.context(terms.version, data=data)
    return _page(request, "papers/version_form.html", context, refused=not asked)


def _asked(request: HttpRequest) -> QueryDict:
    """Which scan stands beside the form: the form sends it along, since not all of its buttons keep the address."""
    return request.POST if "scan" in request.POST else request.GET


def _told(reason: Any) -> dict[str, str]:
    return {"why": reason.cleaned_data["why"], "seen": reason.cleaned_data["seen"]}


def _tell_conflict(form: Any, error: ChangedMeanwhileError, value: dict[str, Any]) -> None:
    """Say what happened, and let the next save count for what stands now: the person has been told."""
    form.add_error(None, str(error))
    form.data = form.data.copy()
    form.data[form.add_prefix("seen")] = stamp(value)


def _page(request: HttpRequest, template: str, context: dict[str, Any], *, refused: bool = True) -> HttpResponse:
    status = status_of(*context["all_forms"]) if refused else 200
    return render(request, template, context | {"picks": pick_lists(request.user)}, status=status)
