"""What the form of an application, and the paper that came of it, start with: offered, never taken for granted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from django.db.models import F

from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperKind
from governance.plans.models import Application
from governance.plans.queries.applications import need_of
from governance.plans.queries.check import CheckedCell, PlanCheck, asked_of, country_of, needed_on
from governance.plans.queries.land_owners import land_owners
from governance.plans.queries.lead_times import lead_times

KIND_OF_LAYER: Final = {
    Layer.LAND: PaperKind.LANDOWNER_CONSENT, Layer.COLLECTING: PaperKind.COLLECTING_PERMIT,
    Layer.SPECIES: PaperKind.SPECIES_LICENCE, Layer.PROTECTED_SITE: PaperKind.PROTECTED_SITE_CONSENT,
    Layer.ACCESS: PaperKind.ACCESS_PERMIT, Layer.EXPORT: PaperKind.EXPORT_PERMIT,
    Layer.IMPORT: PaperKind.IMPORT_PERMIT, Layer.CITES: PaperKind.CITES_EXPORT_PERMIT,
    Layer.TRANSFER: PaperKind.MATERIAL_TRANSFER_AGREEMENT,
}  # fmt: skip
"""The kind of paper that usually answers a layer: offered in a form, never taken for granted."""


def suggested(check: PlanCheck, layer: Layer, stops: Sequence[int]) -> dict[str, Any]:
    """What the plan, its check and the country sheets say of something to be asked for.

    Whom to ask for land is the owner of the site, whom a country sheet does not know.
    """
    need = need_of(check, layer, set(stops) or None)
    cells = [check.cells[one.stop.pk, layer] for one in check.loaded.stops if not stops or one.stop.pk in stops]
    lead = need.lead if need else _lead(cells, layer)
    of_sheet = {"authority": lead.authority, "contact": lead.contact} if lead else {}
    if layer == Layer.LAND:
        owners = land_owners(cell.stop for cell in cells)
        of_sheet = {"authority": "; ".join(dict.fromkeys(filter(None, owners.values())))[:300]}
    return {
        "layer": layer.code, "kind": KIND_OF_LAYER[layer], "start_by": need.start_by if need else None,
        **of_sheet,
    }  # fmt: skip


def _lead(cells: Sequence[CheckedCell], layer: Layer) -> Any:
    return lead_times().of(country_of(cells[0]), layer, needed_on(cells[0]), asked_of(cells[0])) if cells else None


_MOST_PAPERS = 500


def papers_of_layer(layer: int) -> list[Paper]:
    """Papers on file that answer a layer, the newest first: what a box offers. That they exist, everybody sees."""
    rows = Paper.objects.annotate(bits=F("layers").bitand(1 << layer)).filter(bits__gt=0)
    return list(rows.order_by("-pk")[:_MOST_PAPERS])


def country_of_application(application: Application) -> str:
    """The country of its stops, "" where they are of several or none is known."""
    stops = application.plan.stops.select_related("site")
    if not application.all_stops:
        stops = stops.filter(application_stops__application=application)
    countries = {stop.country or (stop.site.country if stop.site else "") for stop in stops}
    return countries.pop() if len(countries) == 1 else ""
