"""The areas that the papers map, with the stops, for a GPS (GPX 1.1) and for maps (GeoJSON, RFC 7946).

They are the mapped areas of the papers in force on the days of a stop, no more: what a paper says in words alone (a
country, a site without boundary) is not in them, nor is anything of papers that the reader may not read. What a paper
of the stop excludes, or another covered layer does not allow, is cut out of them. Every area says the verdict of its
layer at its stop; while any layer of the field is open there it is named so, since a device shows names alone.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any, Final
from xml.etree import ElementTree as ET

import shapely
from shapely.geometry import MultiPolygon, mapping
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from governance.plans.pack.mapped_areas import MappedArea, mapped_areas
from governance.plans.pack.places import place_of
from governance.plans.pack.sources import FIELD_LAYERS, NumberedStop, PackSources
from governance.plans.pack.verdict_words import layer_word, open_cells, stop_words, word_of

_NO_XML: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
GPX: Final = "http://www.topografix.com/GPX/1/1"


def areas_geojson(src: PackSources) -> bytes:
    """A FeatureCollection: areas that are allowed and excluded, and stops. Outer rings go against the clock."""
    features = [_area_feature(area, src) for area in mapped_areas(src)]
    features += [feature for stop in src.stops if (feature := _stop_feature(stop, src)) is not None]
    collection = {
        "type": "FeatureCollection",
        "features": features,
        "note": f"{src.words('area_note')} {src.words('legal')}",
        "plan": src.plan.reference,
        "madeOn": src.check.today.isoformat(),
    }
    return json.dumps(collection, ensure_ascii=False, indent=1).encode()


def _area_feature(area: MappedArea, src: PackSources) -> dict[str, Any]:
    cell = src.cell(area.stop, area.layer)
    return {
        "type": "Feature",
        "geometry": mapping(_oriented(area.shape)),
        "properties": {
            "kind": "excluded" if area.is_excluded else "allowed",
            "name": _area_name(area, src),
            "stop": area.stop.one.stop.name, "stopNumber": area.stop.number,
            "paper": area.reference, "paperKind": src.words.of("kinds", area.kind),
            "layer": area.layer.code, "from": area.first.isoformat(), "to": area.last.isoformat(),
            "verdict": word_of(cell, src), "isSettled": not _doubt(area, src), "place": area.name,
            "boundaryErrorInMeters": area.boundary_error_m, "discErrorInMeters": area.disc_error_m,
        },
    }  # fmt: skip


def _oriented(shape: BaseGeometry) -> BaseGeometry:
    """Outer rings against the clock, holes with it (RFC 7946, 3.1.6)."""
    if shape.geom_type == "Polygon":
        return orient(shape)
    return MultiPolygon([orient(part) for part in shapely.get_parts(shape)])


def _stop_feature(stop: NumberedStop, src: PackSources) -> dict[str, Any] | None:
    place = place_of(stop.one)
    if place is None:
        return None
    first, last = stop.one.days
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [place.longitude_deg, place.latitude_deg]},
        "properties": {
            "kind": "stop", "name": _stop_name(stop, src), "stop": stop.one.stop.name, "stopNumber": stop.number,
            "from": first.isoformat() if first else None, "to": last.isoformat() if last else None,
            "radiusInMeters": place.radius_m, "isSettled": not open_cells(stop, src),
            "warning": " ".join(stop_words(stop, src)), "description": _stop_words(stop, src),
        },
    }  # fmt: skip


def areas_gpx(src: PackSources) -> bytes:
    """Waypoints for the stops, a closed track for each ring of an area: the outer one, then its holes."""
    ET.register_namespace("", GPX)
    root = ET.Element(f"{{{GPX}}}gpx", {"version": "1.1", "creator": "Fieldwrit"})
    meta = ET.SubElement(root, f"{{{GPX}}}metadata")
    _child(meta, "name", f"{src.plan.reference} {src.plan.title}")
    _child(meta, "desc", f"{src.words('area_note')} {src.words('legal')}")
    for stop in src.stops:
        _waypoint(root, stop, src)
    for area in mapped_areas(src):
        _track(root, area, src)
    ET.indent(root, " ")
    body: bytes = ET.tostring(root, encoding="utf-8")
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + body


def _waypoint(root: ET.Element, stop: NumberedStop, src: PackSources) -> None:
    place = place_of(stop.one)
    if place is None:
        return
    point = ET.SubElement(root, f"{{{GPX}}}wpt", _position(place.longitude_deg, place.latitude_deg))
    _child(point, "name", _stop_name(stop, src))
    _child(point, "desc", _stop_words(stop, src))
    _child(point, "type", "stop")


def _track(root: ET.Element, area: MappedArea, src: PackSources) -> None:
    """GPX knows no polygons: each ring is a segment that ends where it began."""
    track = ET.SubElement(root, f"{{{GPX}}}trk")
    _child(track, "name", _area_name(area, src))
    _child(track, "desc", _area_words(area, src))
    _child(track, "type", "excluded" if area.is_excluded else "allowed")
    for ring in shapely.get_rings(shapely.get_parts(_oriented(area.shape))):
        segment = ET.SubElement(track, f"{{{GPX}}}trkseg")
        for longitude, latitude in shapely.get_coordinates(ring):
            ET.SubElement(segment, f"{{{GPX}}}trkpt", _position(longitude, latitude))


def _position(longitude: float, latitude: float) -> dict[str, str]:
    """lon is below 180 in GPX 1.1 (longitudeType), so 180 is written as the last number before it."""
    east = float(longitude)
    return {"lat": repr(float(latitude)), "lon": repr(179.9999999 if east >= 180 else east)}


def _child(parent: ET.Element, name: str, text: str) -> None:
    ET.SubElement(parent, f"{{{GPX}}}{name}").text = _written(text)


def _written(text: str) -> str:
    """Without characters that XML 1.0 cannot hold (2.2)."""
    return _NO_XML.sub("", text)


def _stop_name(stop: NumberedStop, src: PackSources) -> str:
    mark = "! " if open_cells(stop, src) else ""
    return f"{mark}{stop.number} {stop.one.stop.name}"


def _stop_words(stop: NumberedStop, src: PackSources) -> str:
    """Days first, then what must not be done, then what is not settled."""
    cells: Sequence[str] = [
        src.words.pair(layer_word(cell.layer, src), word_of(cell, src)) for cell in open_cells(stop, src)
    ]
    warning = " ".join([*stop_words(stop, src), "; ".join(cells)]).strip() or src.words("calm")
    return f"{src.words.days(*stop.one.days)}. {warning}"


def _area_name(area: MappedArea, src: PackSources) -> str:
    """Short, since a device shows little: what it is, of which paper, and the verdict where it is not settled."""
    w = src.words
    what = w("forbidden") if area.is_excluded else w("allowed")
    verdict = f" ({doubt}!)" if (doubt := _doubt(area, src)) and not area.is_excluded else ""
    mark = "! " if verdict else ""
    return f"{mark}{area.stop.number} {what}{verdict}: {area.reference}, {layer_word(area.layer, src)}"


def _doubt(area: MappedArea, src: PackSources) -> str:
    """Why nobody should go by the area yet: its own verdict, else the worst of another layer in the field, else a paper
    of the stop that the reader may not read; "" where there is nothing."""
    cell = src.cell(area.stop, area.layer)
    if cell.needs_look:
        return word_of(cell, src)
    if others := open_cells(area.stop, src, FIELD_LAYERS):
        return src.words.pair(layer_word(others[0].layer, src), word_of(others[0], src))
    closed = [at.paper.reference for at in src.papers_at(area.stop, FIELD_LAYERS) if not src.may_read(at.paper)]
    return ", ".join(closed)


def _area_words(area: MappedArea, src: PackSources) -> str:
    w, cell = src.words, src.cell(area.stop, area.layer)
    told = [w.span(area.first, area.last), word_of(cell, src), area.name]
    if area.boundary_error_m:
        told.append(w("error", error=w.distance(area.boundary_error_m)))
    if area.disc_error_m is not None:
        told.append(f"{w('radius')}: \u2212{w.number(area.disc_error_m, 1)} m")
    return "; ".join(part for part in told if part) + ". " + w("area_note")
