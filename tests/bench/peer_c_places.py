"""Peer C's question of place: discs against polygons, with metres only for the pairs that somebody asks about."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import pyproj
import shapely

from .generate import ASSUMED_RADIUS_M, DATUM_ALLOWANCE_M, Frames
from .world import LONGEST_EDGE_DEG, PLANE

SLACK = 1.01
"""Circles are drawn this much too large where they only choose the pairs to look at: the plane is a little off."""

Table = npt.NDArray[Any]


class Places:
    """Answers of shape (events, papers); 0 yes, 1 unknown, 2 no. radius_m: the radius held against, one an event."""

    def __init__(self, frames: Frames) -> None:
        events = frames.events
        self.lon, self.lat = events["lon"].to_numpy(), events["lat"].to_numpy()
        self.placed = ~np.isnan(self.lon)
        assumed = events["radius_m"].isna()
        radius = events["radius_m"].fillna(events["precision_radius_m"].clip(lower=ASSUMED_RADIUS_M))
        self.radius_m = (radius + np.where(events["datum_known"], 0.0, DATUM_ALLOWANCE_M)).to_numpy()
        self.remarked = {"radius-assumed": assumed.to_numpy(), "datum-assumed": ~events["datum_known"].to_numpy()}
        self._project(frames)
        self._answer(frames)

    def _project(self, frames: Frames) -> None:
        forth = pyproj.Transformer.from_crs(4326, PLANE, always_xy=True)
        self._back = pyproj.Transformer.from_crs(PLANE, 4326, always_xy=True)
        shapes = frames.papers["geometry"].to_numpy()
        self.areas = shapely.transform(shapely.segmentize(shapes, LONGEST_EDGE_DEG), forth.transform, interleaved=False)
        self._edges = shapely.boundary(self.areas)
        x, y = forth.transform(np.nan_to_num(self.lon, nan=-53.0), np.nan_to_num(self.lat, nan=-9.5))
        self.points = shapely.points(x, y)

    def _answer(self, frames: Frames) -> None:
        shapes = frames.papers["geometry"].to_numpy()
        shape = (len(self.lon), len(shapes))
        placed = np.flatnonzero(self.placed)
        self.holds = np.zeros(shape, dtype=bool)
        tree = shapely.STRtree(shapely.points(self.lon[placed], self.lat[placed]))
        shapely.prepare(shapes)
        paper, point = tree.query(shapes, predicate="contains")
        self.holds[placed[point], paper] = True
        self.answer = np.where(self.holds, 0, 2).astype(np.uint8)
        self.answer[~self.placed] = 1
        self._metres = np.full(shape, np.nan)
        # Only a disc near an edge, or within, needs its distance for the answer.
        circles = shapely.STRtree(shapely.buffer(self.points[placed], self.radius_m[placed] * SLACK))
        shapely.prepare(self._edges)
        paper, point = circles.query(self._edges, predicate="intersects")
        event = placed[point]
        near = np.abs(self.metres(event, paper)) <= self.radius_m[event] + 1e-6
        self.answer[event[near], paper[near]] = 1

    def metres(self, event: Table, paper: Table) -> Table:
        """Signed geodesic metres from the centre to the nearest edge, negative inside, NaN without a point."""
        asked = np.unique(event.astype(np.int64) * self._metres.shape[1] + paper)
        row, column = np.divmod(asked, self._metres.shape[1])
        new = np.isnan(self._metres[row, column]) & self.placed[row]
        self._measure(row[new], column[new])
        return self._metres[event, paper]

    def _measure(self, event: Table, paper: Table) -> None:
        if not len(event):
            return
        spots = self.nearest_spots(self._edges[paper], self.points[event])
        metres = self.geodesic(event, spots)
        self._metres[event, paper] = np.where(self.holds[event, paper], -metres, metres)

    @staticmethod
    def nearest_spots(edges: Table, points: Table) -> Table:
        return shapely.get_coordinates(shapely.shortest_line(points, edges)).reshape(-1, 2, 2)[:, 1]

    def geodesic(self, event: Table, spots: Table) -> Table:
        lon, lat = self._back.transform(spots[:, 0], spots[:, 1])
        return np.asarray(pyproj.Geod(ellps="WGS84").inv(self.lon[event], self.lat[event], lon, lat)[2])

    def miss(self, event: Table, paper: Table) -> Table:
        """Metres where the place is not a yes, 0 where it is, inf without a measure."""
        miss = np.zeros(len(event))
        failed = self.answer[event, paper] != 0
        metres = self.metres(event[failed], paper[failed])
        miss[failed] = np.where(np.isnan(metres), np.inf, metres)
        return miss

    def code(self, event: Table, paper: Table) -> Table:
        answer = self.answer[event, paper]
        code = np.array(["", "area-edge", "outside-area"], dtype=object)[answer]
        code[(answer == 1) & ~self.placed[event]] = "place-missing"
        return code

    def remarks(self, number: Table, event: Table) -> pd.DataFrame:
        """Findings on a yes, keyed by pair."""
        parts = [pd.DataFrame({"pair": number[has[event]], "code": code}) for code, has in self.remarked.items()]
        rows = pd.concat(parts).sort_values("pair", kind="stable")
        return rows.assign(measure=np.nan, against=np.nan, unit="")
