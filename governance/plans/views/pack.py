"""The field pack of a plan: the page that prints, the DOCX, and the allowed areas for a GPS."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.papers.printed.blocks import PageCopy
from governance.plans.forms.pack import PackForm
from governance.plans.models import FieldPlan
from governance.plans.pack.areas_out import areas_geojson, areas_gpx
from governance.plans.pack.contents import make_pack
from governance.plans.pack.copies import pictures
from governance.plans.pack.docx_file import CONTENT_TYPE, docx_file
from governance.plans.pack.language import language
from governance.plans.pack.sources import PackSources, sources
from governance.plans.queries.check import PlanCheck, check_plan


@require_GET
@requires(Verb.READ)
def plan_pack(request: HttpRequest, pk: int) -> HttpResponse:
    """What the pack holds, to read and to print; choices, and the files."""
    check = _check(pk)
    form = PackForm(request.GET or {"language": check.loaded.plan.language, "scans": "with"}, check.loaded)
    context = {"plan": check.loaded.plan, "form": form, "query": request.GET.urlencode(), "check": check}
    if form.is_valid():
        context["pack"] = make_pack(
            check, reader=request.user, code=form.code, stops=form.stops_chosen, with_scans=form.with_scans
        )
    return render(request, "plans/pack.html", context, status=200 if form.is_valid() else 400)


@require_GET
@requires(Verb.EXPORT)
def plan_pack_docx(request: HttpRequest, pk: int) -> HttpResponse:
    """The pack as a DOCX."""
    check = _check(pk)
    form = PackForm(request.GET, check.loaded)
    if not form.is_valid():
        context = {"plan": check.loaded.plan, "form": form, "query": "", "check": check}
        return render(request, "plans/pack.html", context, status=400)
    pack = make_pack(check, reader=request.user, code=form.code, stops=form.stops_chosen, with_scans=form.with_scans)
    pages = [block for section in pack.sections for block in section.blocks if isinstance(block, PageCopy)]
    content = docx_file(pack, pictures(pages), made_at=timezone.now())
    return _file(content, CONTENT_TYPE, _name(check, "field-pack", f"{pack.language}-", "docx"))


@require_GET
@requires(Verb.EXPORT)
def plan_areas_gpx(request: HttpRequest, pk: int) -> HttpResponse:
    """Areas as closed tracks, stops as waypoints (GPX 1.1)."""
    src = _sources(request, pk)
    return _file(areas_gpx(src), "application/gpx+xml", _name(src.check, "areas", "", "gpx"))


@require_GET
@requires(Verb.EXPORT)
def plan_areas_geojson(request: HttpRequest, pk: int) -> HttpResponse:
    """Areas and stops as features (RFC 7946)."""
    src = _sources(request, pk)
    return _file(areas_geojson(src), "application/geo+json", _name(src.check, "areas", "", "geojson"))


def _check(pk: int) -> PlanCheck:
    return check_plan(get_object_or_404(FieldPlan, pk=pk), today=timezone.localdate())


def _sources(request: HttpRequest, pk: int) -> PackSources:
    """The choices of the page hold for the areas, too; what cannot be read is as if nothing was chosen."""
    check = _check(pk)
    form = PackForm(request.GET, check.loaded)
    chosen, code = (form.stops_chosen, form.code) if form.is_valid() else (None, check.loaded.plan.language)
    return sources(check, request.user, language(code), chosen)


def _name(check: PlanCheck, what: str, language: str, ending: str) -> str:
    """A file name that says of which plan it is: "fp-2027-01-areas-2026-11-26.gpx"."""
    plan = slugify(check.loaded.plan.reference) or str(check.loaded.plan.pk)
    return f"{plan}-{what}-{language}{check.today.isoformat()}.{ending}"


def _file(content: bytes, content_type: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=content_type)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
