"""Zipped shapefiles: rings by their direction, the system of their .prj transformed to WGS84.

Source: ESRI Shapefile Technical Description (July 1998): outer rings run clockwise, holes counter-clockwise, rings
are closed.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, Final

import numpy as np
import shapely
from shapely.geometry import LinearRing, Point, Polygon

from accessions.intake.archives import Archive
from accessions.intake.problems import FileProblems, Problem, refusal, shown
from governance.papers.named_shapes import NamedShape
from governance.papers.shapes import Position, polygon_problems

_POLYGON_TYPES: Final = (5, 15, 25)
_LONGEST_EDGE_M: Final = 1000.0
"""Edges are straight in the file's projection; cut to this length before the change they leave the true line by less
than 0.1 m (sagitta of 1 km, own arithmetic)."""
_MOST_PIECES: Final = 200_000


def read_shapefile(archive: Archive, outlines: str, max_bytes: int) -> list[NamedShape]:
    """The polygons of a shapefile, in WGS84 longitude and latitude.

    Raises:
        FileProblems: it cannot be read, has no or an unknown .prj, is not of polygons, or has faulty rings.
    """
    import shapefile

    transform = _transform(archive, outlines)
    try:
        reader = shapefile.Reader(**_parts(archive, outlines, max_bytes))
        if reader.shapeType not in _POLYGON_TYPES:
            raise refusal(
                archive.file,
                f"member {shown(outlines)}",
                f"it holds shapes of type {reader.shapeTypeName}",
                "Give polygons.",
            )
        records = [(item.shape, tuple(str(value) for value in item.record)) for item in reader.iterShapeRecords()]
    except (shapefile.ShapefileException, struct.error, ValueError, IndexError, KeyError, TypeError, OSError) as error:
        raise refusal(
            archive.file, f"member {shown(outlines)}", "the shapefile is damaged or cut short", "Export it again."
        ) from error
    shapes: list[NamedShape] = []
    problems: list[Problem] = []
    for number, (shape, names) in enumerate(records, 1):
        where = f"record {number}"
        for rings in _polygons(shape, archive.file, where, problems):
            faults = _closed_problems(rings, archive.file, where) or _to_degrees(rings, transform, archive.file, where)
            problems += faults
            if not faults:
                shapes.append(NamedShape(Polygon(rings[0], rings[1:]), names, where))
    if problems:
        raise FileProblems(problems)
    return shapes


def _parts(archive: Archive, outlines: str, max_bytes: int) -> dict[str, Any]:
    """The outlines and what stands beside them under the same name."""
    stem = outlines[:-4].casefold()
    found = {name[-3:].lower(): name for name in archive.names if name[:-4].casefold() == stem}
    parts: dict[str, Any] = {
        kind: io.BytesIO(archive.read(found[kind], max_bytes)) for kind in ("shp", "shx", "dbf") if kind in found
    }
    if "dbf" in parts:
        parts["encodingErrors"] = "replace"
    return parts


def _transform(archive: Archive, outlines: str) -> Any:
    """The way from the system of the file to WGS84, and whether its unit is the metre (else degrees)."""
    import pyproj

    prj = next((name for name in archive.names if name.casefold() == f"{outlines[:-4]}.prj".casefold()), None)
    if prj is None:
        raise refusal(
            archive.file,
            f"member {shown(outlines)}",
            "there is no .prj beside it, so its coordinate system is not known",
            "Add the .prj file to the archive.",
        )
    text = archive.read(prj, 100_000).decode("utf-8", "replace").strip()
    try:
        system = pyproj.CRS.from_wkt(text)
        return pyproj.Transformer.from_crs(system, "EPSG:4326", always_xy=True, allow_ballpark=False)
    except pyproj.exceptions.ProjError as error:
        raise refusal(
            archive.file, f"member {shown(prj)}", f"its coordinate system is not understood: {shown(text)}",
            "Export the shapefile in WGS84 longitude and latitude (EPSG:4326).",
        ) from error  # fmt: skip


def _polygons(shape: Any, file: str, where: str, problems: list[Problem]) -> Iterator[list[list[Position]]]:
    """Outer rings, each with the holes that lie in it."""
    points = [(float(x), float(y)) for x, y, *_ in shape.points]
    starts = [*shape.parts, len(points)]
    rings = [points[first:end] for first, end in pairwise(starts)]
    if not np.isfinite(np.asarray(points, dtype=np.float64)).all():
        problems.append(Problem(file, where, "a coordinate is no number", "Export the shapefile again."))
        return
    outer = [ring for ring in rings if _is_clockwise(ring)]
    if not outer and len(rings) == 1:
        outer = rings  # a lone ring can be nothing but the outer one, whatever way it runs
    holes = [ring for ring in rings if ring not in outer]
    if rings and not outer:
        problems.append(
            Problem(
                file,
                where,
                "every ring runs counter-clockwise, so outer rings and holes cannot be told apart",
                "Outer rings run clockwise in a shapefile; export it again.",
            )
        )
        return
    groups = [[ring] for ring in outer]
    for hole in holes:
        group = _group_around(hole, groups)
        if group is None:
            problems.append(
                Problem(
                    file,
                    where,
                    f"a hole (counter-clockwise ring) at {hole[0]} lies in no outer ring",
                    "Export it again.",
                )
            )
        else:
            group.append(hole)
    yield from groups


def _is_clockwise(ring: list[Position]) -> bool:
    x, y = np.asarray(ring, dtype=np.float64).T
    return float(np.sum((x - x[0])[:-1] * np.diff(y) - (y - y[0])[:-1] * np.diff(x))) < 0


def _group_around(hole: list[Position], groups: list[list[list[Position]]]) -> list[list[Position]] | None:
    """The smallest outer ring that holds the hole."""
    holding = [group for group in groups if len(group[0]) > 3 and shapely.intersects(Polygon(group[0]), Point(hole[0]))]
    return min(holding, key=lambda group: Polygon(group[0]).area, default=None)


def _closed_problems(rings: list[list[Position]], file: str, where: str) -> list[Problem]:
    return [
        Problem(
            file, where, f"ring {number} is not closed or has fewer than four positions", "Export the shapefile again."
        )
        for number, ring in enumerate(rings, 1)
        if len(ring) < 4 or ring[0] != ring[-1]
    ]


def _to_degrees(rings: list[list[Position]], transform: Any, file: str, where: str) -> list[Problem]:
    """Change the rings in place; what is wrong with them afterwards."""
    projected = transform.source_crs.is_projected
    unit_m = transform.source_crs.axis_info[0].unit_conversion_factor if projected else 1.0
    for index, ring in enumerate(rings):
        line = LinearRing(ring)
        if projected:
            line = shapely.segmentize(line, max(_LONGEST_EDGE_M / unit_m, line.length / _MOST_PIECES))
        x, y = np.asarray(line.coords, dtype=np.float64)[:, :2].T
        longitudes, latitudes = transform.transform(x, y)
        if not (np.isfinite(longitudes).all() and np.isfinite(latitudes).all()):
            return [
                Problem(
                    file, where, f"ring {index + 1} lies outside the coordinate system of the .prj", "Check the .prj."
                )
            ]
        rings[index] = list(zip(longitudes.tolist(), latitudes.tolist(), strict=True))
    return polygon_problems(rings, where, file)
