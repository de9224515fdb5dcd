"""Peer D, the script for a plan: every row of the plan against every paper, one after the other.

As a practitioner would write it: each row its own circle, in metres about the point, and yes or no. It knows nothing
of limits, unions, groups, reasons or margins; its yes is a yes of the engine where no limit is set.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from pyproj import Transformer

Row = Mapping[str, str]


def covered(rows: Sequence[Row], papers: Sequence[Mapping[str, Any]]) -> list[set[str]]:
    """For each row the layers that some paper covers."""
    return [{layer for paper in papers if _covers(row, paper) for layer in paper["layers"]} for row in rows]


def _covers(row: Row, paper: Mapping[str, Any]) -> bool:
    (version,) = paper["versions"]
    first, _, last = _day_of(row, paper).partition("/")
    if not first:
        return False
    if not version["in_force_from"] <= first or not date.fromisoformat(last or first) <= date.fromisoformat(
        version["in_force_to"]
    ):
        return False
    methods = version.get("methods", {}).get("include", [])
    if methods and row["samplingProtocol"] not in methods:
        return False
    named = version.get("people", {}).get("named", [])
    if named and not set(row["recordedBy"].split(" | ")) <= {*named, paper["holder"]}:
        return False
    return _inside(row, version)


def _day_of(row: Row, paper: Mapping[str, Any]) -> str:
    return row["exportedOn"] if paper["layers"] == ["export"] else row["eventDate"]


def _inside(row: Row, version: Mapping[str, Any]) -> bool:
    longitude, latitude = float(row["decimalLongitude"]), float(row["decimalLatitude"])
    plane = _plane(longitude, latitude)
    (place,) = version["places"]["include"]
    area = shapely.transform(
        shapely.geometry.shape(place["geojson"]),
        lambda corners: np.column_stack(plane.transform(corners[:, 0], corners[:, 1])),
    )
    return bool(area.contains(shapely.Point(0, 0).buffer(float(row["coordinateUncertaintyInMeters"]))))


@lru_cache(maxsize=1000)
def _plane(longitude: float, latitude: float) -> Transformer:
    """Metres about a point; made once for each, since making one takes milliseconds."""
    return Transformer.from_crs(4326, f"+proj=aeqd +lat_0={latitude} +lon_0={longitude} +datum=WGS84", always_xy=True)
