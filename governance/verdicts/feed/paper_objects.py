"""Papers of the register as objects of the exchange file, read back in a fixed number of queries."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperVersion, VersionPlace


def paper_objects(ids: Sequence[int]) -> dict[int, dict[str, Any]]:
    """By key, ascending; without what they are linked to."""
    terms = ("versionplaces", "versiontaxons", "versionwords", "versionpersons", "versionseasons", "versioncaps")
    found: dict[int, dict[str, Any]] = {}
    for first in range(0, len(ids), 400):
        papers = Paper.objects.filter(pk__in=ids[first : first + 400]).order_by("pk")
        for paper in papers.prefetch_related("statuses", *(f"versions__{term}" for term in terms)):
            found[paper.pk] = _paper(paper)
    return found


def _paper(paper: Paper) -> dict[str, Any]:
    statuses = list(paper.statuses.all())
    ended = [s.from_on for s in statuses if s.state in ("revoked", "surrendered")]
    return {
        "reference": paper.reference,
        "kind": paper.kind,
        "layers": [Layer(layer).code for layer in paper.layer_list],
        "jurisdiction": paper.jurisdiction,
        "holder": paper.holder,
        "versions": [_version(version) for version in paper.versions.all()],
        "suspensions": [[_iso(s.from_on), _iso(s.to_on)] for s in statuses if s.state == "suspended"],
        "revoked_on": _iso(min(ended)) if ended else None,
        "statuses": [{"state": s.state, "from": _iso(s.from_on), "to": _iso(s.to_on)} for s in statuses],
    }


def _iso(day: Any) -> str | None:
    return None if day is None else day.isoformat()


def _version(version: PaperVersion) -> dict[str, Any]:
    words: dict[str, dict[str, list[str]]] = defaultdict(lambda: {"include": [], "exclude": []})
    for word in version.versionwords.all():
        words[word.subject]["exclude" if word.excluded else "include"].append(word.word)
    value: dict[str, Any] = {
        "in_force_from": _iso(version.in_force_from),
        "in_force_to": _iso(version.in_force_to),
        "places": _sides(version.versionplaces.all(), _place),
        "taxa": _sides(version.versiontaxons.all(), _taxon),
        "closed_seasons": [
            [f"{s.from_month:02}-{s.from_day:02}", f"{s.to_month:02}-{s.to_day:02}"]
            for s in version.versionseasons.all()
        ],
        "caps": [_cap(cap) for cap in version.versioncaps.all()],
        "people": {"named": [person.name for person in version.versionpersons.all()]},
        **words,
    }
    if version.assistants:
        value["people"]["assistants"] = version.assistants
    return value


def _sides(terms: Any, make: Any) -> dict[str, list[Any]]:
    sides: dict[str, list[Any]] = {"include": [], "exclude": []}
    for term in terms:
        sides["exclude" if term.excluded else "include"].append(make(term))
    return sides


def _taxon(term: Any) -> Any:
    return {"name": term.name, "kingdom": term.kingdom} if term.kingdom else term.name


def _cap(term: Any) -> dict[str, Any]:
    value: dict[str, Any] = {"each": term.each, "per": term.per, "limit": term.limit}
    if term.taxon:
        value["taxon"] = {"name": term.taxon, "kingdom": term.kingdom} if term.kingdom else term.taxon
    return value


def _place(place: VersionPlace) -> dict[str, Any]:
    value: dict[str, Any] = {}
    for key in ("country", "subdivision", "site"):
        if text := getattr(place, key):
            value[key] = text
    if place.geojson:
        value["geojson"] = json.loads(place.geojson)
    if place.longitude_deg is not None:
        value |= {"point": [place.longitude_deg, place.latitude_deg], "radius_m": place.radius_m}
    if place.boundary_error_m is not None:
        value["boundary_error_m"] = place.boundary_error_m
    return value
