"""The map of a report: the areas of its papers, and where its material was taken."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Final

import shapely

from governance.papers.drawing import AreaKind, areas_of_places
from governance.papers.models import VersionPlace
from governance.reports.composing.disclosing import Disclosing
from governance.reports.composing.material import Material, Place
from governance.reports.composing.papers import Papers
from governance.reports.contents import MapData, Point

MOST_POINTS: Final = 500
MOST_AREA_BYTES: Final = 300_000
"""All areas together as text: more would make a map that nobody can read, and a file that nobody can send."""


@dataclass(frozen=True)
class Mapped:
    """without_position: specimens that are on no point. left_out: those on points beyond the most. areas_left_out:
    areas that are not drawn, since they are too much together."""

    map: MapData
    without_position: int
    left_out: int
    areas_left_out: int


def mapped(material: Material, papers: Papers, secret: Collection[int], disclosing: Disclosing) -> Mapped:
    """The map: the most specimens first, so that what is left out is the least."""
    counts = Counter(row.event for row in material.rows if row.pk not in secret)
    at: Counter[tuple[str, str]] = Counter()
    first: dict[tuple[str, str], Place] = {}
    without = 0
    for event, number in counts.items():
        place = material.places[event]
        if place.longitude is None or place.latitude is None:
            without += number
            continue
        position = (place.longitude, place.latitude)
        at[position] += number
        first.setdefault(position, place)
    chosen = sorted(at, key=lambda position: (-at[position], position))
    points = tuple(_point(first[position], disclosing) for position in chosen[:MOST_POINTS])
    areas = tuple(_areas(papers, disclosing))
    is_too_much = sum(len(text) for _, text in areas) > MOST_AREA_BYTES
    return Mapped(
        MapData(() if is_too_much else areas, points), without, sum(at[one] for one in chosen[MOST_POINTS:]),
        len(areas) if is_too_much else 0,
    )  # fmt: skip


def _point(place: Place, disclosing: Disclosing) -> Point:
    label = disclosing.masked(place.site or place.locality) or ""
    return Point(label, float(place.longitude or 0), float(place.latitude or 0), place.radius_m)


def _areas(papers: Papers, disclosing: Disclosing) -> Iterator[tuple[str, str]]:
    """What papers that go in permit, of the version that binds today, where it is mapped nearer than a country. Where
    the land of a private person lies is told only in a report on their paper."""
    versions = {
        version.pk: papers.known[key].reference
        for key, version in papers.versions.items()
        if key not in disclosing.closed
    }
    private = disclosing.private - {papers.scope.report.paper_id}
    kept = {version.pk for key, version in papers.versions.items() if key in private}
    rows: dict[int, list[VersionPlace]] = {}
    for place in VersionPlace.objects.filter(version__in=list(versions), excluded=False).order_by("version", "pk"):
        rows.setdefault(place.version_id, []).append(place)
    for version, places in rows.items():
        for area in areas_of_places(places):
            if area.kind != AreaKind.PERMITTED or not area.frames:
                continue
            if version in kept:
                disclosing.count("kept_places")
            else:
                yield disclosing.masked(versions[version]) or "", shapely.to_geojson(area.shape)
