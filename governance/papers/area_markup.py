"""Areas in KML (OGC 12-007r2: Polygon, LinearRing) and GPX 1.1 (closed tracks and routes)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from shapely.geometry import Polygon

from accessions.intake.markup import children, descendants, local_name
from accessions.intake.problems import FileProblems, Problem, refusal, shown
from governance.papers.named_shapes import NamedShape
from governance.papers.shapes import Position, polygon_problems


def read_kml(root: Element, file: str) -> list[NamedShape]:
    """The polygons of every placemark.

    Raises:
        FileProblems: coordinates that cannot be read, or faulty rings; all at once.
    """
    shapes: list[NamedShape] = []
    problems: list[Problem] = []
    for number, placemark in enumerate(descendants(root, "Placemark"), 1):
        name = _text(placemark, "name")
        where = f"placemark {shown(name)}" if name else f"placemark {number}"
        for polygon in descendants(placemark, "Polygon"):
            rings, faults = _kml_rings(polygon, file, where)
            faults = faults or polygon_problems(rings, where, file)
            problems += faults
            if not faults:
                shapes.append(NamedShape(Polygon(rings[0], rings[1:]), (name,) if name else (), where))
    if problems:
        raise FileProblems(problems)
    if not shapes:
        held = sorted(
            {local_name(e.tag) for e in root.iter()} & {"Point", "LineString", "NetworkLink", "GroundOverlay"}
        )
        raise refusal(
            file,
            "",
            f"the KML holds no polygon{' but ' + ', '.join(held) if held else ''}",
            "Draw the area as a polygon; links to other documents are not followed.",
        )
    return shapes


def _text(element: Element, name: str) -> str:
    return next(((child.text or "").strip() for child in children(element, name)), "")


def _kml_rings(polygon: Element, file: str, where: str) -> tuple[list[list[Position]], list[Problem]]:
    rings, problems = [], []
    boundaries = [*children(polygon, "outerBoundaryIs"), *children(polygon, "innerBoundaryIs")]
    if sum(local_name(boundary.tag) == "outerBoundaryIs" for boundary in boundaries) != 1:
        return [], [
            Problem(file, where, "a polygon has not exactly one outer boundary", "Draw each area as one polygon.")
        ]
    for boundary in boundaries:
        for ring in descendants(boundary, "LinearRing"):
            try:
                rings.append([_kml_position(word) for word in _text(ring, "coordinates").split()])
            except ValueError as error:
                problems.append(
                    Problem(
                        file,
                        where,
                        f"{shown(str(error))} is no position",
                        "Positions are longitude,latitude parted by blanks.",
                    )
                )
    return rings, problems


def _kml_position(word: str) -> Position:
    parts = word[:200].split(",")
    try:
        longitude, latitude = float(parts[0]), float(parts[1])
    except (ValueError, IndexError):
        raise ValueError(word[:60]) from None
    if not (math.isfinite(longitude) and math.isfinite(latitude)):
        raise ValueError(word[:60])
    return longitude, latitude


def read_gpx(root: Element, file: str) -> list[NamedShape]:
    """Every closed track segment and route as a polygon.

    Raises:
        FileProblems: a track or route that does not end where it starts, faulty rings, or none at all.
    """
    shapes: list[NamedShape] = []
    problems: list[Problem] = []
    for where, name, points in _gpx_lines(root):
        try:
            ring = [_gpx_position(point) for point in points]
        except ValueError as error:
            problems.append(
                Problem(file, where, f"{shown(str(error))} is no position", "Points have lat and lon in degrees.")
            )
            continue
        faults = polygon_problems([ring], where, file)
        problems += faults
        if not faults:
            shapes.append(NamedShape(Polygon(ring), (name,) if name else (), where))
    if problems:
        raise FileProblems(problems)
    if not shapes:
        raise refusal(
            file, "", "the GPX holds no track or route", "Walk or draw round the area; single points are no area."
        )
    return shapes


def _gpx_lines(root: Element) -> Iterator[tuple[str, str, list[Element]]]:
    for kind, parts, points in (("trk", "trkseg", "trkpt"), ("rte", "", "rtept")):
        for number, line in enumerate(children(root, kind), 1):
            name = _text(line, "name")
            word = "track" if kind == "trk" else "route"
            where = f"{word} {shown(name)}" if name else f"{word} {number}"
            for segment in children(line, parts) if parts else [line]:
                yield where, name, list(children(segment, points))


def _gpx_position(point: Element) -> Position:
    written = f"{point.get('lat', '')[:30]}, {point.get('lon', '')[:30]}"
    try:
        longitude, latitude = float(point.get("lon", "")), float(point.get("lat", ""))
    except ValueError:
        raise ValueError(written) from None
    if not (math.isfinite(longitude) and math.isfinite(latitude)):
        raise ValueError(written)
    return longitude, latitude
