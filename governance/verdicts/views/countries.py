"""Country sheets: the list, one sheet, and the forms of a sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from governance.jurisdictions.codes import is_country
from governance.verdicts.actions.sheets import change_sheet, stamp_sheet, start_sheet, start_sheets
from governance.verdicts.forms.sheets import SheetForm, StampForm
from governance.verdicts.models import CountrySheet, SheetRule
from governance.verdicts.queries.countries import (
    CountryCount,
    ListedCountry,
    changes_of_sheet,
    counts_by_country,
    is_stale,
    listed_countries,
    name_of,
    rules_by_layer,
    treaty_facts,
)

CSV_HEADER = (
    "country", "name", "layer", "required", "from", "to", "source", "lead days", "authority", "checked by",
    "checked on",
)  # fmt: skip


@require_GET
@requires(Verb.READ)
def countries(request: HttpRequest) -> HttpResponse:
    """All countries that have a sheet or material."""
    listed = listed_countries(timezone.localdate())
    context = {
        "listed": listed,
        "without_sheet": sum(country.sheet is None for country in listed),
        "waiting": sum(country.waiting for country in listed),
        "stale": sum(country.is_stale for country in listed),
    }
    return render(request, "verdicts/countries.html", context)


@require_GET
@requires(Verb.EXPORT)
def countries_export(request: HttpRequest) -> StreamingHttpResponse:
    """All rules as CSV."""
    return csv_answer("country-sheets.csv", CSV_HEADER, _csv_rows())


def _csv_rows() -> Iterator[tuple[Any, ...]]:
    for rule in SheetRule.objects.select_related("sheet").order_by("sheet__country", "layer", "from_on"):
        sheet = rule.sheet
        yield (
            sheet.country, name_of(sheet.country), rule.get_layer_display(), "yes" if rule.required else "no",
            rule.from_on, rule.to_on, rule.source, rule.lead_days, sheet.authority, sheet.checked_by, sheet.checked_on,
        )  # fmt: skip


@require_GET
@requires(Verb.READ)
def country(request: HttpRequest, pk: int) -> HttpResponse:
    """One sheet: rules by layer, and the dated facts beside."""
    sheet = get_object_or_404(CountrySheet, pk=pk)
    today = timezone.localdate()
    layers = rules_by_layer(sheet)
    count = counts_by_country(sheet.country).get(sheet.country, CountryCount()) if sheet.country else CountryCount()
    context = {
        "sheet": sheet,
        "name": name_of(sheet.country),
        "layers": layers,
        "unsaid": [row for row in layers if not row.rules and not row.everywhere],
        "facts": treaty_facts(sheet.country, today),
        "specimens": count.specimens,
        "waiting": count.waiting,
        "is_stale": is_stale(sheet, today),
        "stamp": StampForm(initial={"checked_by": request.user.shown_name, "checked_on": today}),  # type: ignore[union-attr]
        "changes": changes_of_sheet(sheet),
    }
    return render(request, "verdicts/country.html", context)


@require_GET
@requires(Verb.READ)
def country_without_sheet(request: HttpRequest, code: str) -> HttpResponse:
    """A country that has material and no sheet: what waits, what the dated data say, and the way to a sheet."""
    code = code.upper()
    if not is_country(code):
        raise Http404(code)
    sheet = CountrySheet.objects.filter(country=code).first()
    if sheet is not None:
        return redirect("verdicts:country", sheet.pk)
    context = {
        "code": code,
        "country": ListedCountry(code, None, (), counts_by_country(code).get(code, CountryCount()), is_stale=False),
        "facts": treaty_facts(code, timezone.localdate()),
    }
    return render(request, "verdicts/country_without_sheet.html", context)


@require_POST
@requires(Verb.EDIT_SHEETS)
def sheet_start(request: HttpRequest) -> HttpResponse:
    """Start one sheet."""
    code = request.POST.get("country", "").strip().upper()
    why = str(_("started from the dated data"))
    try:
        sheet = start_sheet(code, by=request.user, why=why, today=timezone.localdate())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("verdicts:countries")
    words = _("The sheet of %(name)s was started. It has no rule yet: until it has, nothing changes for its specimens.")
    messages.success(request, words % {"name": name_of(sheet.country)})
    return redirect("verdicts:country-rules-at-once", sheet.pk)


@require_POST
@requires(Verb.EDIT_SHEETS)
def sheets_start(request: HttpRequest) -> HttpResponse:
    """Start the sheets of all countries that have material and none."""
    started = start_sheets(by=request.user, why=str(_("started from the dated data")), today=timezone.localdate())
    words = ngettext(
        "%(n)s sheet was started, without rules.", "%(n)s sheets were started, without rules.", len(started)
    )
    messages.success(request, words % {"n": len(started)})
    return redirect("verdicts:countries")


@require_http_methods(["GET", "POST"])
@requires(Verb.EDIT_SHEETS)
def sheet_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change authority, contact, remarks."""
    sheet = get_object_or_404(CountrySheet, pk=pk)
    form = SheetForm(request.POST or None, instance=sheet)
    if request.method == "POST" and form.is_valid():
        change_sheet(sheet, by=request.user, why=form.why, **form.values())
        messages.success(request, _("The sheet was saved."))
        return redirect("verdicts:country", pk)
    context = {"form": form, "sheet": sheet, "name": name_of(sheet.country)}
    return render(request, "verdicts/country_form.html", context)


@require_POST
@requires(Verb.EDIT_SHEETS)
def sheet_stamp(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that the sheet was held against the law."""
    sheet = get_object_or_404(CountrySheet, pk=pk)
    form = StampForm(request.POST)
    if form.is_valid():
        stamp_sheet(sheet, by=request.user, why=str(_("checked")), **form.cleaned_data)
        messages.success(request, _("Checked by %(who)s.") % {"who": sheet.checked_by})
    else:
        messages.error(request, _("Say who checked the sheet, and on which day (YYYY-MM-DD). Nothing was saved."))
    return redirect("verdicts:country", pk)
