"""Places that reach over an edge: a smaller circle, a stop moved, an area drawn back. Tried, with round measures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import shapely
from django.utils.translation import gettext as _
from shapely import affinity
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from governance.engine.geodesy import WGS84
from governance.engine.tables import PlaceItem
from governance.papers.measures import distance
from governance.plans.advice.saying import STOPS, Deed, Draft, papers_words
from governance.plans.advice.trials import Case, Choice, Proposal, are_covered, trial
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow

_CODES = ("area-edge", "exclusion-edge", "outside-area", "excluded-area")
_EDGES = ("area-edge", "exclusion-edge")
"""What a smaller circle can settle: one that lies wholly outside lies there however small it is."""
_FARTHEST_M = 10_000.0
_ROUND_M = (
    5, 10, 20, 30, 40, 50, 75, 100, 150, 200, 250, 300, 400, 500, 750, 1000, 1500, 2000, 3000, 4000, 5000, 7500, 10_000,
)  # fmt: skip
_DEGREE_M = 111_320.0
_MOST_TRIED = 5
_MOST_WAYS = 2
_MOST_BACK_M = 1000
_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@dataclass(frozen=True)
class _Disc:
    longitude_deg: float
    latitude_deg: float
    radius_m: float


def advice_on_places(case: Case) -> Iterator[Choice]:
    """For a stop that says its own place and lies at most some kilometres outside."""
    stop = case.cell.stop.stop
    miss_m = next((f.measure for f, _text in case.answer.findings if f.code in _CODES and f.measure is not None), None)
    if not case.fails_only_by(_CODES) or miss_m is None or abs(miss_m) > _FARTHEST_M:
        return
    if stop.area:
        yield [_drawn_back(case, dict(case.row.place), back_m) for back_m in _ROUND_M if back_m <= _MOST_BACK_M]
    elif stop.longitude_deg is not None and stop.latitude_deg is not None:
        disc = _Disc(stop.longitude_deg, stop.latitude_deg, stop.radius_m or 0)
        smaller = _smaller(case, disc, abs(miss_m)) if set(case.answer.codes) & set(_EDGES) else ()
        yield [*smaller, *_moved(case, disc, abs(miss_m))]


_Cells = tuple[tuple[str, str], ...]
"""Of a place, by their term."""


def _with(row: PlannedRow, **cells: str) -> PlannedRow:
    return trial(row, place=tuple((dict(row.place) | cells).items()))


def _smaller(case: Case, disc: _Disc, miss_m: float) -> Iterator[Proposal]:
    """The largest round radius that is covered; one that reaches the edge cannot be."""
    smaller = [radius_m for radius_m in _ROUND_M if radius_m < min(disc.radius_m, miss_m)]
    for radius_m in smaller[: -_MOST_TRIED - 1 : -1]:
        row = _with(case.row, coordinateUncertaintyInMeters=repr(float(radius_m)))
        yield Proposal((row,), case.layer, partial(_say_smaller, case, radius_m, disc.radius_m))


def _say_smaller(case: Case, radius_m: float, instead_m: float, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    words = _("A radius of %(radius)s instead of %(instead)s at %(stops)s would be covered (%(papers)s).") % {
        "radius": distance(radius_m), "instead": distance(instead_m), "stops": STOPS,
        "papers": papers_words(answers[0].papers),
    }  # fmt: skip
    return case.draft("radius", words, answers, deed=Deed("stop", case.row.stop))


def _moved(case: Case, disc: _Disc, miss_m: float) -> Iterator[Proposal]:
    """The shortest round way into an area of the papers, or out of what they exclude."""
    ways = list(dict.fromkeys(_bearings(case, disc)))[:_MOST_WAYS]
    least_m = abs(disc.radius_m - miss_m)
    for metres in [step_m for step_m in _ROUND_M if step_m >= least_m][:_MOST_TRIED]:
        for bearing_deg in ways:
            row = trial(case.row, place=_place_from(case.row.place, disc, bearing_deg, metres))
            yield Proposal((row,), case.layer, partial(_say_moved, case, metres, bearing_deg))


@lru_cache(maxsize=4096)
def _place_from(place: _Cells, disc: _Disc, bearing_deg: float, metres: float) -> _Cells:
    """The cells of a place that lies so far in that direction. The rows of a stop ask for the same."""
    longitude, latitude, _back = WGS84.fwd(disc.longitude_deg, disc.latitude_deg, bearing_deg, metres)
    moved = {"decimalLongitude": repr(float(longitude)), "decimalLatitude": repr(float(latitude))}
    return tuple((dict(place) | moved).items())


def _say_moved(case: Case, metres: float, bearing_deg: float, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    words = _("Moved by %(metres)s to the %(side)s, %(stops)s would be covered (%(papers)s).") % {
        "metres": distance(metres), "side": _(_POINTS[round(bearing_deg % 360 / 45) % 8]), "stops": STOPS,
        "papers": papers_words(answers[0].papers),
    }  # fmt: skip
    return case.draft("move", words, answers, deed=Deed("stop", case.row.stop))


def _bearings(case: Case, disc: _Disc) -> Iterator[float]:
    """Towards the nearest part of each included place, or away from its edge; the way round for excluded ones."""
    point, known = Point(disc.longitude_deg, disc.latitude_deg), case.papers.ways
    for _paper, version in case.papers.versions(case.answer):
        for item, is_excluded in [
            *((item, False) for item in version.include_places), *((item, True) for item in version.exclude_places),
        ]:  # fmt: skip
            key = id(item), disc.longitude_deg, disc.latitude_deg
            if key not in known:
                known[key] = list(_way_into(item, point))
            yield from ((bearing + 180) % 360 if is_excluded else bearing for bearing in known[key])


def _way_into(item: PlaceItem, point: Point) -> Iterator[float]:
    """Towards the nearest point of a place; from inside, away from the nearest point of its edge."""
    if item.disc is not None:
        yield _bearing(point, Point(item.disc[0], item.disc[1]))
    elif item.shape is not None:
        inside = item.shape.contains(point)
        edge = nearest_points(_flat(item.shape.boundary, point.y), _flat(point, point.y))[0]
        bearing = _bearing(point, Point(edge.x / math.cos(math.radians(point.y)), edge.y))
        yield (bearing + 180) % 360 if inside else bearing


def _flat(shape: BaseGeometry, latitude_deg: float) -> BaseGeometry:
    """Longitudes drawn together as at this latitude, so that what is nearest is nearest on the ground."""
    return affinity.scale(shape, math.cos(math.radians(latitude_deg)), 1, origin=(0, 0))


def _bearing(one: Point, other: Point) -> float:
    """Whole degrees, so that alike ways are tried once."""
    return round(float(WGS84.inv(one.x, one.y, other.x, other.y)[0])) % 360


def _drawn_back(case: Case, place: dict[str, str], back_m: float) -> Proposal:
    """The area drawn back on all sides; an area that is narrower than that is tried as it is, and not covered."""
    area = shapely.from_wkt(place["footprintWKT"])
    smaller = _shrunk(area, back_m)
    row = trial(case.row) if smaller.is_empty else _with(case.row, footprintWKT=smaller.wkt)
    return Proposal((row,), case.layer, partial(_say_drawn_back, case, back_m))


def _shrunk(area: BaseGeometry, back_m: float) -> BaseGeometry:
    latitude_deg = area.centroid.y
    squeezed = math.cos(math.radians(latitude_deg))
    back = _flat(area, latitude_deg).buffer(-back_m / _DEGREE_M)
    return affinity.scale(back, 1 / squeezed, 1, origin=(0, 0))


def _say_drawn_back(case: Case, back_m: float, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    words = _("Drawn back by %(metres)s on all sides, the area of %(stops)s would be covered (%(papers)s).") % {
        "metres": distance(back_m), "stops": STOPS, "papers": papers_words(answers[0].papers),
    }  # fmt: skip
    return case.draft("draw-back", words, answers, deed=Deed("stop", case.row.stop))
