"""The list of specimens, and the reasons that its specimens share."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from accessions.people.access import Verb, requires
from governance.engine.tables import Verdict
from governance.verdicts.applied import address_without, chips
from governance.verdicts.forms.specimen_filters import SIZES, SpecimenFilterForm, verdict_options
from governance.verdicts.queries.reasons import shared_reasons
from governance.verdicts.queries.search_words import Found, labelled
from governance.verdicts.queries.specimen_rows import specimen_rows
from governance.verdicts.queries.specimens import ListPage, list_page, open_count
from governance.verdicts.views.distribution import distribution
from governance.verdicts.views.list_pages import ways

REASONS_SHOWN = 50


@requires(Verb.READ)
def specimen_list(request: HttpRequest) -> HttpResponse:
    """The list; a label that one specimen bears leads to it at once."""
    form = SpecimenFilterForm(request.GET)
    if set(request.GET) == {"q"} and (key := labelled(form.words)):
        return redirect("verdicts:specimen", pk=key)
    found = form.found()
    if request.GET.get("group") == "reason":
        return render(request, "verdicts/specimens/reasons.html", _reasons(request, form, found))
    page = list_page(found.filters, form.sort, form.size, form.place)
    return render(request, "verdicts/specimens/list.html", _list(request, form, found, page))


def _list(request: HttpRequest, form: SpecimenFilterForm, found: Found, page: ListPage) -> dict[str, Any]:
    return _shared(request, form, found) | {
        "page": page,
        "rows": specimen_rows(page.keys, found.filters.focus),
        "open": None if page.tallies is None else open_count(page.tallies),
        "distribution": distribution(page.tallies) if page.tallies and page.is_exact else None,
        "verdict_options": verdict_options(form, _facets(page, found)),
        "ways": ways(page, request.GET),
        "sizes": SIZES,
        "size": form.size,
        "sort": form.sort,
        "without_sort": f"{address_without(request.GET, 'sort')[1:]}&",
        "empty": not page.total and found.filters.is_empty,
    }


def _facets(page: ListPage, found: Found) -> dict[str, int]:
    """How many stand at each verdict, by its word in addresses, unless the list is narrowed by verdict."""
    filters = found.filters
    if page.tallies is None or not page.is_exact or filters.verdicts or filters.unchecked:
        return {}
    return {Verdict(verdict).code: count for verdict, count in page.tallies.items()} | {"unchecked": page.unchecked}


def _reasons(request: HttpRequest, form: SpecimenFilterForm, found: Found) -> dict[str, Any]:
    shows_all = request.GET.get("all") == "1"
    reasons, count = shared_reasons(found.filters, None if shows_all else REASONS_SHOWN)
    return _shared(request, form, found) | {
        "reasons": reasons,
        "count": count,
        "more": count - len(reasons),
        "list_address": address_without(request.GET, "group", "all"),
        "all_address": f"{address_without(request.GET)}&all=1",
    }


def _shared(request: HttpRequest, form: SpecimenFilterForm, found: Found) -> dict[str, Any]:
    return {
        "form": form,
        "words": form.words,
        "filters": found.filters,
        "chips": chips(found.filters, found.meaning, request.GET),
        "asked": request.GET.urlencode(),
        "by_reason": f"{address_without(request.GET)}&group=reason",
    }
