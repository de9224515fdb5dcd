"""Land to draw on: served by the register itself, so that no map server learns where people collect."""

from __future__ import annotations

from functools import cache

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_GET

from accessions.people.access import Verb, requires
from governance.papers.queries.base_map import boxes, land_path

_land, _boxes = cache(land_path), cache(boxes)


@require_GET
@requires(Verb.READ)
@cache_control(max_age=86400, private=True)
def base_map(request: HttpRequest) -> HttpResponse:
    """The countries as one path in degrees, y downwards, and the box of each."""
    return JsonResponse({"land": _land(), "boxes": _boxes()})
