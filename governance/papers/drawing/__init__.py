"""Drawings of papers and specimens as plain numbers: maps and timelines that templates turn into SVG.

Pure Python on shapely and pyproj: no Django, no files but the outlines, no clock. Longitude comes first, degrees on
WGS84. Templates draw by ``{% area_map %}``, ``{% world_map %}`` and ``{% timeline %}``.
"""

from __future__ import annotations

from governance.papers.drawing.area_map import AreaMap, draw_map
from governance.papers.drawing.pieces import Area, AreaKind, MapPoint
from governance.papers.drawing.timeline import Band, BandKind, Happening, TimelineDrawing, TimeRow, draw_timeline
from governance.papers.drawing.validity import validity_bands
from governance.papers.drawing.version_places import areas_of_places
from governance.papers.drawing.world import CountryCount, WorldMap, draw_world

__all__ = [
    "Area",
    "AreaKind",
    "AreaMap",
    "Band",
    "BandKind",
    "CountryCount",
    "Happening",
    "MapPoint",
    "TimeRow",
    "TimelineDrawing",
    "WorldMap",
    "areas_of_places",
    "draw_map",
    "draw_timeline",
    "draw_world",
    "validity_bands",
]
