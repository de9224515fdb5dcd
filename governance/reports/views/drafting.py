"""Drafts begun, changed, written in, composed, corrected, discarded."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from accessions.people.access import Verb, person_of, requires
from accessions.people.entry_forms import posted
from governance.papers.countries import countries_known, country_words
from governance.reports.actions import drafting
from governance.reports.actions.composing import ask_to_compose
from governance.reports.actions.errors import ReportError
from governance.reports.forms.drafting import WITH_PERIOD, DraftForm, draft_initial, offered_parts
from governance.reports.forms.issuing import ReasonForm
from governance.reports.forms.texts import TextsForm
from governance.reports.models import Report, ReportKind
from governance.reports.queries.listing import next_reference
from governance.reports.queries.offered import (
    duty_of,
    next_duty,
    owners_known,
    paper_of,
    papers_known,
    period_of,
)
from governance.reports.queries.one_report import found_report
from governance.reports.subjects import heading_of
from governance.reports.views.showing import kept_in_words, preview_of
from governance.reports.words import KIND_FOR
from governance.usedesk.sheet.language import language_for


@require_http_methods(["GET", "POST"])
@requires(Verb.WRITE_REPORTS)
def report_new(request: HttpRequest) -> HttpResponse:
    """Choose what it is for; then what it is about. Then it is composed."""
    kind = request.GET.get("kind", "")
    if kind not in ReportKind.values:
        kinds = [(one, one.label, KIND_FOR[one]) for one in ReportKind]
        return render(request, "reports/report_kinds.html", {"kinds": kinds, "asked": _others(request)})
    form = DraftForm(posted(request), kind=kind, person=request.user, initial=_initial(request, kind))
    if form.is_valid():
        try:
            made = drafting.add_draft(kind=kind, values=form.values(), by=person_of(request))
        except (ValidationError, ReportError) as problem:
            refuse(form, problem)
        else:
            return _composed(request, made, _("%(number)s is begun.") % {"number": made.reference})
    return render(request, "reports/report_form.html", _form_context(form, kind), status=form.status)


def _others(request: HttpRequest) -> str:
    rest = request.GET.copy()
    rest.pop("kind", None)
    return f"&{rest.urlencode()}" if rest else ""


def _initial(request: HttpRequest, kind: str) -> dict[str, Any]:
    """What is offered: the next duty with its period, else the last calendar year; the language of the country. A kind
    that tells of all years has no period."""
    today, person = timezone.localdate(), request.user
    duty = duty_of(request.GET.get("duty", ""), person)
    paper = paper_of(request.GET.get("paper", ""), person) or (duty.paper if duty else None)
    country = request.GET.get("country", "").upper()[:2]
    duty = duty or next_duty(person, kind=kind, paper=paper, country=country)
    first, last = period_of(duty, today) if kind in WITH_PERIOD else (None, None)
    speaks = country or (paper.jurisdiction[:2] if paper else "")
    return {
        "reference": next_reference(today), "country": country if country_words(country) != country else "",
        "paper": paper, "period_from": first, "period_to": last, "duty": str(duty.pk) if duty else "",
        "language": language_for(speaks), "parts": list(offered_parts(kind)),
    }  # fmt: skip


def _form_context(form: DraftForm, kind: str) -> dict[str, Any]:
    return {
        "form": form, "kind": kind, "kind_name": ReportKind(kind).label, "kind_for": KIND_FOR[ReportKind(kind)],
        "countries": countries_known(), "papers": papers_known(), "owners": owners_known(),
    }  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.WRITE_REPORTS)
def report_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a draft is about; then it is composed anew."""
    found = found_report(pk, request.user)
    if found.issued_at is not None:
        return _is_issued(request, found)
    form = DraftForm(posted(request), kind=found.kind, person=request.user, report=found, initial=draft_initial(found))
    if form.is_valid():
        try:
            changed = drafting.edit_draft(
                report=found, values=form.values(), by=person_of(request), why=form.cleaned_data["why"]
            )
        except (ValidationError, ReportError) as problem:
            refuse(form, problem)
        else:
            return _composed(request, found, _("Saved.") if changed else _("Nothing was changed."))
    context = _form_context(form, found.kind) | {"found": found, "heading": heading_of(found)}
    return render(request, "reports/report_form.html", context, status=form.status)


@require_http_methods(["GET", "POST"])
@requires(Verb.WRITE_REPORTS)
def report_texts(request: HttpRequest, pk: int) -> HttpResponse:
    """What people write, beside the preview."""
    found = found_report(pk, request.user)
    if found.issued_at is not None:
        return _is_issued(request, found)
    form = TextsForm(posted(request), kind=found.kind, initial=found.texts)
    if form.is_valid():
        try:
            is_other = drafting.write_texts(report=found, texts=form.texts(), by=person_of(request))
        except ReportError as problem:
            refuse(form, problem)
        else:
            return _composed(request, found, _("Saved.") if is_other else _("Nothing was changed."))
    context = {"form": form, "found": found, "heading": heading_of(found), "preview": preview_of(found)}
    return render(request, "reports/report_texts.html", context, status=form.status)


def _is_issued(request: HttpRequest, found: Report) -> HttpResponse:
    messages.error(request, _("%(number)s is issued and is not changed any more. Write a corrected one instead.")
                   % {"number": found.reference})  # fmt: skip
    return redirect("reports:report", found.pk)


@require_POST
@requires(Verb.WRITE_REPORTS)
def report_compose(request: HttpRequest, pk: int) -> HttpResponse:
    """Compose a draft anew."""
    return _composed(request, found_report(pk, request.user), "")


def _composed(request: HttpRequest, found: Report, said: str) -> HttpResponse:
    """Compose what was saved, and go to its page; what stops that stands there, and nothing saved is lost."""
    try:
        is_done = ask_to_compose(report=found, by=person_of(request), today=timezone.localdate())
    except ReportError as problem:
        messages.error(request, f"{said} {problem}".strip())
        return redirect("reports:report", found.pk)
    if not is_done:
        messages.success(request, f"{said} {_('It is being composed.')}".strip())
        return redirect("reports:report-progress", found.pk)
    messages.success(request, f"{said} {_('It is composed from the register as of today.')}".strip())
    return redirect("reports:report", found.pk)


@require_POST
@requires(Verb.WRITE_REPORTS)
def report_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin a report that corrects an issued one."""
    found = found_report(pk, request.user)
    try:
        made = drafting.correct(report=found, by=person_of(request))
    except (ReportError, ValidationError) as problem:
        messages.error(request, kept_in_words(problem))
        return redirect("reports:report", pk)
    if made.composed_at is not None:
        messages.info(request, _("%(number)s is begun already.") % {"number": made.reference})
        return redirect("reports:report", made.pk)
    return _composed(request, made, _("%(number)s is begun; it corrects %(other)s.")
                     % {"number": made.reference, "other": found.reference})  # fmt: skip


@require_http_methods(["GET", "POST"])
@requires(Verb.WRITE_REPORTS)
def report_discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a draft away, for a reason."""
    found = found_report(pk, request.user)
    if found.issued_at is not None:
        return _is_issued(request, found)
    form = ReasonForm(posted(request))
    if form.is_valid():
        try:
            drafting.discard(report=found, by=person_of(request), why=form.cleaned_data["why"])
        except ReportError as problem:
            refuse(form, problem)
        else:
            messages.success(request, _("%(number)s is discarded.") % {"number": found.reference})
            return redirect("reports:reports")
    context = {"form": form, "found": found, "heading": heading_of(found)}
    return render(request, "reports/report_discard.html", context, status=form.status)


def refuse(form: Any, problem: ValidationError | ReportError) -> None:
    """What an action refused, beside the field that it is about."""
    form.refuse(problem) if isinstance(problem, ValidationError) else form.add_error(None, str(problem))
