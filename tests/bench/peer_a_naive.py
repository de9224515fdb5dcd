"""Peer A, the naive script: every specimen row gets its own circle and its own place in the spatial join.

Answers yes or no: True where some paper holds the whole circle, the whole date and the name.
"""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from .generate import ASSUMED_RADIUS_M, DATUM_ALLOWANCE_M, Frames
from .peer_b_tidy import papers_by_taxon
from .world import LONGEST_EDGE_DEG, PLANE


def covered(frames: Frames) -> np.ndarray:
    """bool, one entry a specimen."""
    rows = frames.specimens.merge(frames.events, on="event_id")
    radius = rows["radius_m"].fillna(rows["precision_radius_m"].clip(lower=ASSUMED_RADIUS_M))
    radius = radius + np.where(rows["datum_known"], 0.0, DATUM_ALLOWANCE_M)
    points = gpd.GeoSeries(gpd.points_from_xy(rows["lon"], rows["lat"]), crs=4326).to_crs(PLANE)
    circles = gpd.GeoDataFrame(rows, geometry=points.buffer(radius))
    shapes = shapely.segmentize(frames.papers["geometry"].to_numpy(), LONGEST_EDGE_DEG)
    papers = gpd.GeoDataFrame(frames.papers.drop(columns="geometry"), geometry=shapes, crs=4326)
    hits = gpd.sjoin(circles, papers.to_crs(PLANE), predicate="within")
    hits = hits[(hits["date_kind"] != 2) & (hits["earliest"] >= hits["from_day"]) & (hits["latest"] <= hits["to_day"])]
    hits = pd.DataFrame(hits[["specimen_id", "taxon_id", "paper_id"]])
    hits = hits.merge(papers_by_taxon(frames), on=["taxon_id", "paper_id"])
    return frames.specimens["specimen_id"].isin(hits["specimen_id"]).to_numpy()
