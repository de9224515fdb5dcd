"""What became of a specimen, an accession, a site, an agent's or a country's material: pages and files."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from accessions.material.models import Accession, Specimen
from accessions.people.access import Verb, requires
from accessions.people.csv_answers import csv_answer
from accessions.people.models import Agent
from accessions.people.paging import paged
from accessions.sites.models import Site
from governance.jurisdictions.codes import is_country
from governance.papers.countries import country_name
from governance.usedesk.forms.trail import TrailForm
from governance.usedesk.queries.material import (
    Material,
    of_accession,
    of_agent,
    of_country,
    of_site,
    of_specimen,
    source_of,
    undated,
)
from governance.usedesk.queries.trail import entries, read_entries, years_of
from governance.usedesk.queries.trail_counts import head_words, trail_counts
from governance.usedesk.queries.trail_files import HEADER, SPECIMEN_HEADER, entry_rows, specimen_rows
from governance.usedesk.queries.trail_search import MOST, countries, found


@require_GET
@requires(Verb.READ)
def what_became(request: HttpRequest) -> HttpResponse:
    """Choose of what."""
    words = request.GET.get("q", "")[:200]
    context = {"q": words.strip(), "found": found(words), "countries": countries(), "most": MOST}
    return render(request, "usedesk/trail_choose.html", context)


@require_GET
@requires(Verb.READ)
def trail_specimen(request: HttpRequest, pk: int) -> HttpResponse:
    """What became of one specimen, and of what was taken from it."""
    specimen = _specimen(pk)
    return _page(request, of_specimen(specimen), {"specimen": specimen, "source": source_of(specimen)})


@require_GET
@requires(Verb.EXPORT)
def trail_specimen_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """The same as CSV."""
    return _file(request, of_specimen(_specimen(pk)))


@require_GET
@requires(Verb.READ)
def trail_accession(request: HttpRequest, pk: int) -> HttpResponse:
    """What became of an accession."""
    accession = get_object_or_404(Accession, pk=pk)
    return _page(request, of_accession(accession), {"accession": accession})


@require_GET
@requires(Verb.EXPORT)
def trail_accession_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """The same as CSV."""
    return _file(request, of_accession(get_object_or_404(Accession, pk=pk)))


@require_GET
@requires(Verb.READ)
def trail_site(request: HttpRequest, pk: int) -> HttpResponse:
    """What became of what was taken at a site."""
    site = get_object_or_404(Site, pk=pk)
    return _page(request, of_site(site), {"site": site})


@require_GET
@requires(Verb.EXPORT)
def trail_site_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """The same as CSV."""
    return _file(request, of_site(get_object_or_404(Site, pk=pk)))


@require_GET
@requires(Verb.READ)
def trail_agent(request: HttpRequest, pk: int) -> HttpResponse:
    """What became of material of the sites that somebody held, or what somebody received."""
    agent = get_object_or_404(Agent, pk=pk)
    sides = of_agent(agent, request.GET.get("as", ""))
    more = {"agent": agent, "sides": sides, "undated": 0 if sides.is_recipient else undated(agent)}
    return _page(request, sides.material, more)


@require_GET
@requires(Verb.EXPORT)
def trail_agent_csv(request: HttpRequest, pk: int) -> StreamingHttpResponse:
    """The same as CSV."""
    return _file(request, of_agent(get_object_or_404(Agent, pk=pk), request.GET.get("as", "")).material)


@require_GET
@requires(Verb.READ)
def trail_country(request: HttpRequest, code: str) -> HttpResponse:
    """What became of what was taken in a country."""
    return _page(request, of_country(_country(code)), {"code": code, "country": country_name(code)})


@require_GET
@requires(Verb.EXPORT)
def trail_country_csv(request: HttpRequest, code: str) -> StreamingHttpResponse:
    """The same as CSV."""
    return _file(request, of_country(_country(code)))


def _specimen(pk: int) -> Specimen:
    return get_object_or_404(Specimen.objects.select_related("accession", "name", "parent"), pk=pk)


def _country(code: str) -> str:
    if not is_country(code):
        raise Http404
    return code


def _page(request: HttpRequest, material: Material, more: dict[str, Any]) -> HttpResponse:
    form = TrailForm(request.GET, years=years_of(material))
    narrowed = form.narrowed()
    context = paged(request, entries(material, narrowed))
    counts = trail_counts(material)
    context |= {
        "material": material, "form": form, "counts": counts, "head": head_words(counts), "narrowed": narrowed,
        "lines": read_entries(material, list(context["page"].object_list), request.user),
        "asked": request.GET.urlencode(),
    }  # fmt: skip
    return render(request, "usedesk/trail.html", context | more)


def _file(request: HttpRequest, material: Material) -> StreamingHttpResponse:
    narrowed = TrailForm(request.GET, years=years_of(material)).narrowed()
    by_specimen = request.GET.get("rows") == "specimens"
    name = f"what-became-{material.kind}-{material.key}{'-specimens' if by_specimen else ''}.csv"
    if by_specimen:
        return csv_answer(name, SPECIMEN_HEADER, specimen_rows(material, narrowed, request.user))
    return csv_answer(name, HEADER, entry_rows(material, narrowed, request.user))
