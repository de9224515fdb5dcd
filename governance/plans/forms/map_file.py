"""Stops from a file of places: points and areas of GeoJSON, GPX, KML, KMZ and zipped shapefiles, with their names.

What a file draws beside them, such as a track that does not close, is named as left out and never joined up.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final
from xml.etree.ElementTree import Element

import shapely
from django.utils.translation import gettext as _
from shapely.geometry import Point, mapping
from shapely.geometry.base import BaseGeometry

from accessions.intake import limits
from accessions.intake.archives import Archive
from accessions.intake.markup import children, descendants, local_name, parse_markup
from accessions.intake.problems import FileProblems, Problem, refusal, shown
from governance.papers.area_markup import read_gpx, read_kml
from governance.papers.areas import MAX_AREA_BYTES
from governance.papers.json_text import read_json
from governance.papers.shapes import GeoJSONReader, is_position
from governance.plans.forms.stop_table import MOST_ROWS, ReadStop, ReadStops
from governance.plans.stop_draft import StopDraft

_EXPECTED: Final = "Give GeoJSON, GPX, KML, KMZ or a zipped shapefile."
_NAME_LENGTH: Final = 200
_LINES: Final = ("LineString", "MultiLineString")

Found = tuple[str, BaseGeometry]
"""A name, "" where the file gives none, with its point or area."""


class _Gathered:
    """What a file holds, as it is read."""

    def __init__(self) -> None:
        self.found: list[Found] = []
        self.left_out: list[str] = []

    def area(self, name: str, read: Any, *arguments: Any) -> None:
        """The areas that a reader finds, or why there is none."""
        try:
            shapes = read(*arguments)
        except FileProblems as problems:
            first = problems.problems[0]
            self.left_out.append(f"{first.where or name}: {first.found}".removeprefix(": "))
        else:
            self.found += [(next(iter(shape.names), name), shape.shape) for shape in shapes]

    def point(self, name: str, longitude: Any, latitude: Any, where: str) -> None:
        """A point on the globe, or why it is none."""
        try:
            x, y = float(longitude), float(latitude)
        except (TypeError, ValueError):
            x = y = math.nan
        if abs(x) <= 180 and abs(y) <= 90:
            self.found.append((name, Point(x, y)))
        else:
            self.left_out.append(_("%(where)s: its coordinates are not on the globe") % {"where": where})


def read_places(data: bytes, file: str) -> ReadStops:
    """The places of a file as stops without days.

    Raises:
        FileProblems: it cannot be read, or holds neither a point nor an area.
    """
    if len(data) > MAX_AREA_BYTES:
        raise refusal(file, "", f"the file is {len(data):,} bytes long", f"At most {MAX_AREA_BYTES:,} are read.")
    gathered = _gathered(data, file)
    if not gathered.found:
        left = [Problem(file, "", text, _EXPECTED) for text in gathered.left_out]
        raise FileProblems(left or [Problem(file, "", "there is neither a point nor an area in it", _EXPECTED)])
    if len(gathered.found) > MOST_ROWS:
        raise refusal(
            file, "", f"it holds {len(gathered.found):,} places", f"At most {MOST_ROWS} are taken at once; part it."
        )
    stops = tuple(ReadStop(0, draft) for draft in _drafts(gathered.found))
    return ReadStops(stops, left_out=tuple(gathered.left_out))


def _drafts(found: list[Found]) -> Iterator[StopDraft]:
    counted = {"Point": 0, "Area": 0}
    words = {"Point": _("Point %(n)d"), "Area": _("Area %(n)d")}
    for name, shape in found:
        kind = "Point" if shape.geom_type == "Point" else "Area"
        counted[kind] += 1
        values: dict[str, Any] = {"name": name[:_NAME_LENGTH].strip() or words[kind] % {"n": counted[kind]}}
        values |= {"longitude_deg": None, "latitude_deg": None, "radius_m": None, "area": ""}
        if isinstance(shape, Point):
            values |= {"longitude_deg": shape.x, "latitude_deg": shape.y}
        else:
            values["area"] = json.dumps(mapping(shapely.force_2d(shape)), separators=(",", ":"))
        yield StopDraft(values, None, None)


def places_text(read: ReadStops) -> str:
    """The same places as GeoJSON, to be sent again and read the same."""
    features = [
        {"type": "Feature", "properties": {"name": values["name"]}, "geometry": _geometry(values)}
        for values in (draft.values for draft in read.drafts)
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}, separators=(",", ":"))


def _geometry(values: Any) -> Any:
    if values["area"]:
        return json.loads(values["area"])
    return {"type": "Point", "coordinates": [values["longitude_deg"], values["latitude_deg"]]}


def _gathered(data: bytes, file: str) -> _Gathered:
    gathered = _Gathered()
    if data[:4] == b"PK\x03\x04":
        _read_zip(data, file, gathered)
        return gathered
    text = data.removeprefix(b"\xef\xbb\xbf").lstrip()
    if text.startswith(b"{"):
        _read_geojson(read_json(data, file), file, gathered)
    elif text.startswith(b"<") or data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        _read_markup(parse_markup(data, file), file, gathered)
    else:
        raise refusal(file, "", "this is no file of places", _EXPECTED)
    return gathered


def _read_zip(data: bytes, file: str, gathered: _Gathered) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / (re.sub(r"[^\w.\- ]", "_", file)[-80:] or "places")
        path.write_bytes(data)
        with Archive(path) as archive:
            documents = [name for name in archive.names if name.lower().endswith(".kml")]
            outlines = [name for name in archive.names if name.lower().endswith(".shp")]
            if documents:
                main = next((name for name in documents if name.lower() == "doc.kml"), documents[0])
                _read_markup(parse_markup(archive.read(main, limits.MAX_MARKUP_BYTES), file), file, gathered)
            elif len(outlines) == 1:
                from governance.papers.shapefiles import read_shapefile

                shapes = read_shapefile(archive, outlines[0], MAX_AREA_BYTES)
                gathered.found += [(_first_words(shape.names), shape.shape) for shape in shapes]
            else:
                held = f"{len(outlines)} shapefiles" if outlines else "neither a .kml nor a .shp"
                raise refusal(file, "", f"the archive holds {held}", "One KML document or one shapefile is read.")


def _first_words(names: tuple[str, ...]) -> str:
    """The first value of a record that is a name rather than a number."""
    return next((name for name in names if re.search(r"[^\W\d_]", name)), next(iter(names), ""))


def _read_geojson(value: Any, file: str, gathered: _Gathered) -> None:
    features = value.get("features") if value.get("type") == "FeatureCollection" else [value]
    for number, item in enumerate(features if isinstance(features, list) else [], 1):
        name = _property_name(item)
        where = f"feature {shown(name)}" if name else f"feature {number}"
        geometry = item.get("geometry") if isinstance(item, dict) and item.get("type") == "Feature" else item
        kind = geometry.get("type") if isinstance(geometry, dict) else None
        if kind in ("Point", "MultiPoint") and isinstance(geometry, dict):
            places = geometry.get("coordinates") if kind == "MultiPoint" else [geometry.get("coordinates")]
            for place in places if isinstance(places, list) else []:
                longitude, latitude = place[:2] if is_position(place) else (None, None)
                gathered.point(name, longitude, latitude, where)
        elif kind in _LINES:
            gathered.left_out.append(_("%(where)s: a line is no place to collect in") % {"where": where})
        else:
            _read_geojson_area(geometry, name, file, where, gathered)


def _read_geojson_area(geometry: Any, name: str, file: str, where: str, gathered: _Gathered) -> None:
    reader = GeoJSONReader(file, where)
    shape = reader.read(geometry)
    if shape is None:
        gathered.left_out.append(f"{where}: {reader.problems[0].found}")
    else:
        gathered.found.append((name, shape))


def _property_name(item: Any) -> str:
    properties = item.get("properties") if isinstance(item, dict) else None
    named = {str(key).casefold(): value for key, value in properties.items()} if isinstance(properties, dict) else {}
    values = [named.get(key) for key in ("name", "title", "locality", "id")]
    return next((str(value) for value in values if isinstance(value, str | int) and str(value).strip()), "")


def _read_markup(root: Element, file: str, gathered: _Gathered) -> None:
    kind = local_name(root.tag).lower()
    if kind == "gpx":
        _read_gpx(root, file, gathered)
    elif kind == "kml":
        _read_kml(root, file, gathered)
    else:
        raise refusal(file, "", f"the XML is neither KML nor GPX but {shown(kind)}", _EXPECTED)


def _read_gpx(root: Element, file: str, gathered: _Gathered) -> None:
    """Waypoints as points, tracks and routes that close as areas."""
    for number, point in enumerate(children(root, "wpt"), 1):
        name = _text(point, "name")
        gathered.point(
            name, point.get("lon"), point.get("lat"), f"waypoint {shown(name)}" if name else f"waypoint {number}"
        )
    for kind in ("trk", "rte"):
        for line in children(root, kind):
            gathered.area(_text(line, "name"), read_gpx, _alone(root, line), file)


def _read_kml(root: Element, file: str, gathered: _Gathered) -> None:
    for number, placemark in enumerate(descendants(root, "Placemark"), 1):
        name = _text(placemark, "name")
        where = f"placemark {shown(name)}" if name else f"placemark {number}"
        for point in descendants(placemark, "Point"):
            longitude, latitude, *_height = [*_text(point, "coordinates").split(","), None, None]
            gathered.point(name, longitude, latitude, where)
        if any(True for _polygon in descendants(placemark, "Polygon")):
            gathered.area(name, read_kml, _alone(root, placemark), file)
        elif not any(True for _point in descendants(placemark, "Point")):
            gathered.left_out.append(_("%(where)s: it is neither a point nor an area") % {"where": where})


def _alone(root: Element, child: Element) -> Element:
    """A document that holds one of the things of another."""
    made = Element(root.tag, root.attrib)
    made.append(child)
    return made


def _text(element: Element, name: str) -> str:
    return next(((child.text or "").strip() for child in children(element, name)), "")
