"""The page of a report, and how it differs from today."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from accessions.people.access import Verb, person_of, requires
from governance.papers.countries import country_words
from governance.reports import naming
from governance.reports.actions.comparing import ask_to_compare, difference_to_today
from governance.reports.actions.errors import ReportError
from governance.reports.actions.work import goes_on
from governance.reports.contents import Composed
from governance.reports.models import Report
from governance.reports.queries.differences import Differences
from governance.reports.queries.disclosed import looks
from governance.reports.queries.one_report import found_report, rows_address, standing
from governance.reports.queries.seals import seals_of
from governance.reports.queries.sizes import counted, is_large
from governance.reports.queries.stored import stored
from governance.reports.subjects import heading_of
from governance.reports.views.differing import shown_differences
from governance.reports.views.showing import history_of, preview_of


@require_GET
@requires(Verb.READ)
def report(request: HttpRequest, pk: int) -> HttpResponse:
    """The report as it will print, or as it was issued; beside it what it discloses and what became of it."""
    found = found_report(pk, request.user)
    context: dict[str, Any] = {
        "found": found, "heading": heading_of(found), "standing": standing(found), "history": history_of(found),
        "is_busy": goes_on(found, timezone.now()), "country": country_words(found.country),
    }  # fmt: skip
    if found.contents is not None:
        composed = stored(found)
        context |= {"preview": preview_of(found, composed)} | disclosed(found, composed)
    if found.issued_at is not None and "check" in request.GET:
        context["seals"] = seals_of(found)
    if found.changed and found.issued_at is None:
        context["changed"] = shown_differences(Differences.from_json(found.changed))
    return render(request, "reports/report.html", context)


def disclosed(found: Report, composed: Composed) -> dict[str, Any]:
    """Who will read it, what is kept back, and what to look at before it is issued."""
    told = composed.contents.disclosure
    words = naming.words()
    kept = [
        ("".join(text for text, _name in words.pieces("notes", note.key, note.values)),
         rows_address(found, note.proof) if note.proof else "")
        for note in told.kept_back
    ]  # fmt: skip
    context: dict[str, Any] = {
        "disclosed_to": words.of("readers", told.reader), "places": words.of("places", told.places),
        "owners": words("owners_named" if told.names_owners else "owners_not_named"), "kept_back": kept,
    }  # fmt: skip
    if found.issued_at is None:
        context["looks"] = [
            (look, rows_address(found, look.proof) if look.proof else "") for look in looks(found, composed)
        ]
    return context


@require_http_methods(["GET", "POST"])
@requires(Verb.READ)
def report_differences(request: HttpRequest, pk: int) -> HttpResponse:
    """A report beside what the register says today."""
    found = found_report(pk, request.user)
    if request.method == "POST":
        ask_to_compare(report=found, by=person_of(request))
        messages.success(request, _("It is being compared. Look at this page again in a minute."))
        return redirect("reports:report-differences", pk)
    context: dict[str, Any] = {"found": found, "heading": heading_of(found), "is_large": is_large(found)}
    try:
        told = _differences(request, found)
    except ReportError as problem:
        messages.error(request, str(problem))
        return redirect("reports:report", pk)
    if told is not None:
        context |= {
            "told": told,
            "shown": shown_differences(told),
            "made_on": date.fromisoformat(told.made_on),
            "compared": counted(found),
        }
    return render(request, "reports/report_differences.html", context)


def _differences(request: HttpRequest, found: Report) -> Differences | None:
    """Of a small report at once; of a large one what was compared last, None if nothing was."""
    if not is_large(found):
        return difference_to_today(report=found, by=person_of(request), today=timezone.localdate())
    return Differences.from_json(found.changed) if found.changed and found.issued_at else None
