"""Peer B, the tidy script: places and dates once an event, names once a taxon, then a merge to the specimens.

Answers yes or no. Yes: some one paper whose area holds the whole circle, whose days hold the whole date, and that
includes the name or a higher name of it and excludes neither (nor a name below it). The circle has the stated
radius, else 1,000 m or the radius of the written precision if that is larger, and 250 m more where the datum is not
known. It knows nothing of two papers that cover only together.
"""

from __future__ import annotations

import geopandas as gpd
import numpy as np
import pandas as pd
import pyproj
import shapely

from .generate import ASSUMED_RADIUS_M, DATUM_ALLOWANCE_M, Frames
from .world import LEVELS, LONGEST_EDGE_DEG, PLANE


def covered(frames: Frames) -> np.ndarray:
    """bool, one entry a specimen."""
    allowed = papers_by_taxon(frames)
    may = np.zeros((len(frames.taxa), len(frames.papers)), dtype=bool)
    may[allowed["taxon_id"], allowed["paper_id"]] = True
    # A handful of papers an event: merge them to the specimens, and look the name up in a table of yes and no.
    rows = frames.specimens.merge(papers_by_event(frames), on="event_id")
    rows = rows[may[rows["taxon_id"].to_numpy(), rows["paper_id"].to_numpy()]]
    answer = np.zeros(len(frames.specimens), dtype=bool)
    answer[rows["specimen_id"].to_numpy()] = True
    return answer


def papers_by_event(frames: Frames) -> pd.DataFrame:
    """event_id, paper_id of every pair whose place and date are a yes."""
    events = frames.events[frames.events["lon"].notna() & (frames.events["date_kind"] != 2)]
    points = gpd.GeoDataFrame(events, geometry=gpd.points_from_xy(events["lon"], events["lat"]), crs=4326)
    papers = gpd.GeoDataFrame(frames.papers, geometry="geometry", crs=4326)
    # Polygons on the left: the side that asks is prepared, which is ten times as fast as the other way round.
    hits = gpd.sjoin(papers, points, predicate="contains")
    hits = hits[(hits["earliest"] >= hits["from_day"]) & (hits["latest"] <= hits["to_day"])]
    radius = hits["radius_m"].fillna(hits["precision_radius_m"].clip(lower=ASSUMED_RADIUS_M))
    radius = radius + np.where(hits["datum_known"], 0.0, DATUM_ALLOWANCE_M)
    inside = metres_to_edge(hits) > radius.to_numpy()
    return pd.DataFrame(hits.loc[inside, ["event_id", "paper_id"]])


def metres_to_edge(hits: gpd.GeoDataFrame) -> np.ndarray:
    """Geodesic metres from each point to the nearest edge of its polygon; the plane only finds the nearest spot."""
    shapes = hits.geometry[~hits.index.duplicated()]
    edges = gpd.GeoSeries(shapely.segmentize(shapes.boundary.to_numpy(), LONGEST_EDGE_DEG), shapes.index, 4326)
    edges = edges.to_crs(PLANE).loc[hits.index]
    points = gpd.GeoSeries(gpd.points_from_xy(hits["lon"], hits["lat"]), crs=4326).to_crs(PLANE)
    ends = shapely.get_coordinates(shapely.shortest_line(points.to_numpy(), edges.to_numpy())).reshape(-1, 2, 2)
    back = pyproj.Transformer.from_crs(PLANE, 4326, always_xy=True)
    lon, lat = back.transform(ends[:, 1, 0], ends[:, 1, 1])
    return np.asarray(pyproj.Geod(ellps="WGS84").inv(hits["lon"], hits["lat"], lon, lat)[2])


def papers_by_taxon(frames: Frames) -> pd.DataFrame:
    """taxon_id, paper_id of every pair in which the paper includes the name or a higher one, and excludes neither.

    A name above an excluded one is not a yes either: it could be the excluded one.
    """
    path = frames.taxa.drop(columns="name").melt("taxon_id", list(LEVELS), value_name="name")
    path = path[["taxon_id", "name"]].dropna()
    listed = path.merge(frames.paper_taxa, on="name")
    excludes = frames.paper_taxa[frames.paper_taxa["listed"] == "exclude"]
    above = excludes.merge(frames.taxa, on="name").melt("paper_id", list(LEVELS), value_name="of").merge(
        frames.taxa[["taxon_id", "name"]], left_on="of", right_on="name")  # fmt: skip
    keys = ["taxon_id", "paper_id"]
    out = pd.concat([listed.loc[listed["listed"] == "exclude", keys], above[keys]]).drop_duplicates()
    included = listed.loc[listed["listed"] == "include", keys].drop_duplicates()
    pairs = included.merge(out, on=keys, how="left", indicator=True)
    return pairs.loc[pairs["_merge"] == "left_only", keys]
