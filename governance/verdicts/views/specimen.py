"""The page of a specimen."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from accessions.material.queries.removing import numbered, removal_of
from accessions.people.access import Verb, requires
from governance.verdicts.forms.specimen_filters import SpecimenFilterForm
from governance.verdicts.ggbn import HEADER
from governance.verdicts.queries.layer_cards import TESTS
from governance.verdicts.queries.permit_terms import terms_of_page
from governance.verdicts.queries.recorded import facts_of, written_columns
from governance.verdicts.queries.specimen_drawings import drops, map_areas, map_points, time_rows, window_of
from governance.verdicts.queries.specimen_page import SpecimenPage, page_specimen, specimen_page
from governance.verdicts.queries.specimens import neighbours


@require_safe
@requires(Verb.READ)
def specimen(request: HttpRequest, pk: int) -> HttpResponse:
    """Verdicts, reasons, map, papers around the day, facts, history; of one that was removed, that it was."""
    found = page_specimen(pk)
    if found is None:
        return _removed(request, pk)
    page = specimen_page(found)
    return render(request, "verdicts/specimen.html", _context(page, request.user) | _way(request, page))


@require_safe
@requires(Verb.READ)
def specimen_map(request: HttpRequest, pk: int) -> HttpResponse:
    """The map on a page of its own, with its content in a table."""
    page = _found(pk)
    areas = map_areas(page, request.user)
    context = {"page": page, "specimen": page.specimen, "areas": areas, "points": map_points(page)}
    return render(request, "verdicts/specimen_map.html", context)


def _removed(request: HttpRequest, pk: int) -> HttpResponse:
    removal = removal_of(pk)
    if removal is None:
        raise Http404
    context = {"removal": removal, "now_numbered": numbered(removal.catalog_number)}
    return render(request, "material/specimen_removed.html", context, status=410)


def _found(pk: int) -> SpecimenPage:
    found = page_specimen(pk)
    if found is None:
        raise Http404
    return specimen_page(found)


def _context(page: SpecimenPage, reader: Any) -> dict[str, Any]:
    first, last = window_of(page)
    return {
        "page": page,
        "specimen": page.specimen,
        "tests": TESTS,
        "facts": facts_of(page.specimen, page.days, page.house),
        "written": written_columns(page.specimen),
        "areas": map_areas(page, reader),
        "points": map_points(page),
        "time_rows": time_rows(page),
        "drops": drops(page),
        "permits": terms_of_page(page),
        "permit_heads": HEADER[1:4],
        "axis_first": first,
        "axis_last": last,
        "today": timezone.localdate(),
    }


def _way(request: HttpRequest, page: SpecimenPage) -> dict[str, Any]:
    """The specimens beside this one in the list that the page was opened from."""
    form = SpecimenFilterForm(request.GET)
    before, after = neighbours(form.found().filters, form.sort, page.specimen.pk)
    return {"before": before, "after": after, "asked": request.GET.urlencode()}
