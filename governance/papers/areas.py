"""Areas from files: GeoJSON, KML and KMZ, GPX, WKT and zipped shapefiles, as shapes in longitude and latitude."""

from __future__ import annotations

import re
from difflib import get_close_matches
from pathlib import Path
from typing import Final

from shapely.geometry.base import BaseGeometry

from accessions.intake import limits
from accessions.intake.archives import Archive
from accessions.intake.problems import FileProblems, refusal, shown
from governance.engine.tables import fold
from governance.papers.area_markup import read_gpx, read_kml
from governance.papers.json_text import read_json
from governance.papers.named_shapes import NamedShape
from governance.papers.shapes import GeoJSONReader, joined_shape, validate_shape

__all__ = ["read_area", "validate_shape"]

MAX_AREA_BYTES: Final = 64 * 1024**2
_EXPECTED: Final = "Give GeoJSON, KML, KMZ, GPX, WKT or a zipped shapefile with its .prj."
_SRID: Final = re.compile(r"SRID=(\d{1,9});", re.IGNORECASE)
_MAX_WKT_DEPTH: Final = 12


def read_area(path: str | Path, name: str | None = None) -> BaseGeometry:
    """The area of a file, a Polygon or MultiPolygon in WGS84 longitude and latitude.

    Args:
        path: the file; what it is, is told by its content.
        name: the feature, placemark, track or record to take; None takes every polygon of the file together.

    Raises:
        FileProblems: the file cannot be read, holds no polygon (of that name), or a ring is not closed, crosses
            itself, spans too far or leaves the globe.
    """
    path = Path(path)
    shapes = _read(path)
    if name is not None:
        shapes = _named(shapes, name, path.name)
    if not shapes:
        raise refusal(path.name, "", "there is no polygon in it", _EXPECTED)
    problems = [
        problem for shape in shapes for problem in validate_shape(shape.shape, shape.where or "the area", path.name)
    ]
    if problems:
        raise FileProblems(problems)
    return joined_shape([shape.shape for shape in shapes])


def _named(shapes: list[NamedShape], name: str, file: str) -> list[NamedShape]:
    found = [shape for shape in shapes if fold(name) in {fold(n) for n in shape.names}]
    if found:
        return found
    names = sorted({n for shape in shapes for n in shape.names if n})
    near = get_close_matches(name[:100], [n[:100] for n in names[:5000]], 1) or names[:5]
    known = f"; it has {', '.join(map(shown, near))}" if near else ""
    raise refusal(file, "", f"it has no area named {shown(name)}{known}", "Give a name that stands in the file.")


def _read(path: Path) -> list[NamedShape]:
    data = _bytes(path)
    if data[:4] == b"PK\x03\x04":
        return _read_zip(path)
    text = data.removeprefix(b"\xef\xbb\xbf").lstrip()
    if text.startswith(b"{"):
        return _read_geojson(data, path.name)
    if text.startswith(b"<") or data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return _read_markup(data, path.name)
    return _read_wkt(data, path.name)


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MAX_AREA_BYTES:
            raise refusal(
                path.name, "", f"the file is {size:,} bytes long", f"At most {MAX_AREA_BYTES:,} are read of an area."
            )
        return path.read_bytes()
    except OSError as error:
        raise refusal(
            path.name, "", f"the file cannot be opened ({error.strerror})", "Check its name, and that you may read it."
        ) from error


def _read_zip(path: Path) -> list[NamedShape]:
    with Archive(path) as archive:
        documents = [name for name in archive.names if name.lower().endswith(".kml")]
        if documents:
            main = next((name for name in documents if name.lower() == "doc.kml"), documents[0])
            return _read_markup(archive.read(main, limits.MAX_MARKUP_BYTES), path.name)
        outlines = [name for name in archive.names if name.lower().endswith(".shp")]
        if len(outlines) == 1:
            from governance.papers.shapefiles import read_shapefile

            return read_shapefile(archive, outlines[0], MAX_AREA_BYTES)
    held = f"{len(outlines)} shapefiles" if outlines else "neither a .kml nor a .shp"
    raise refusal(path.name, "", f"the archive holds {held}", "An archive holds one KML document or one shapefile.")


def _read_geojson(data: bytes, file: str) -> list[NamedShape]:
    value = read_json(data, file)
    features = value.get("features") if value.get("type") == "FeatureCollection" else None
    items = features if isinstance(features, list) else [value]
    shapes, problems = [], []
    for number, item in enumerate(items, 1):
        where = f"feature {number}" if isinstance(features, list) else ""
        reader = GeoJSONReader(file, where)
        shape = reader.read(item)
        problems += reader.problems
        if shape is not None:
            shapes.append(NamedShape(shape, _feature_names(item), where))
    if problems:
        raise FileProblems(problems)
    return shapes


def _feature_names(item: object) -> tuple[str, ...]:
    if not isinstance(item, dict):
        return ()
    properties = item.get("properties")
    named = properties if isinstance(properties, dict) else {}
    return tuple(
        str(value)
        for key, value in [*named.items(), ("id", item.get("id"))]
        if key.casefold() in ("name", "title", "id") and isinstance(value, (str, int))
    )


def _read_markup(data: bytes, file: str) -> list[NamedShape]:
    from accessions.intake.markup import local_name, parse_markup

    root = parse_markup(data, file)
    kind = local_name(root.tag).lower()
    if kind == "kml":
        return read_kml(root, file)
    if kind == "gpx":
        return read_gpx(root, file)
    raise refusal(file, "", f"the XML is neither KML nor GPX but {shown(kind)}", _EXPECTED)


def _read_wkt(data: bytes, file: str) -> list[NamedShape]:
    import numpy as np
    import shapely

    try:
        text = data.decode("utf-8-sig").strip()
    except UnicodeDecodeError as error:
        raise refusal(file, "", "this is no area", _EXPECTED) from error
    text = _without_srid(text, file)
    if not re.match(r"(?:multipolygon|polygon|geometrycollection)\b", text, re.IGNORECASE):
        raise refusal(file, "", f"this is no area: {shown(text)}", _EXPECTED)
    _refuse_deep(text, file)
    try:
        with np.errstate(invalid="ignore"):  # a corner that is no number is refused with the rings
            shape = shapely.from_wkt(text)
    except shapely.errors.ShapelyError as error:
        raise refusal(
            file,
            "",
            f"the WKT cannot be read ({shown(str(error), 120)})",
            "Rings are closed, numbers parted by blanks.",
        ) from error
    parts = shape.geoms if shape.geom_type == "GeometryCollection" else [shape]
    return [NamedShape(shapely.force_2d(part)) for part in parts]


def _without_srid(text: str, file: str) -> str:
    prefix = _SRID.match(text)
    if prefix and prefix[1] != "4326":
        raise refusal(file, "", f"the WKT is in SRID {prefix[1]}", "Give it in longitude and latitude (SRID 4326).")
    return text[prefix.end() :].strip() if prefix else text


def _refuse_deep(text: str, file: str) -> None:
    """The reader of WKT calls itself at each bracket; deep nesting would end the process."""
    depth = 0
    for bracket in re.findall(r"[()]", text):
        depth += 1 if bracket == "(" else -1
        if depth > _MAX_WKT_DEPTH:
            raise refusal(file, "", "the WKT is nested too deep", "Give polygons, not collections of collections.")
