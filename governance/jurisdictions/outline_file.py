"""The file that holds outlines: one compressed record a code, read one at a time.

Layout: four bytes (little endian) with the length of the index; the index, zlib-compressed JSON of
``{code: [offset, length]}``; the records. A record is zlib-compressed: the number of polygons, of rings, the rings
of each polygon and the points of each ring (uint32), then the points as differences (int32, longitude and latitude
in ten-thousandths of a degree, 11 m at most), byte by byte, since equal bytes side by side compress best.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

GRID_PER_DEGREE = 10_000

_COUNT = np.dtype("<u4")
_STEP = np.dtype("<i4")


def to_grid(shape: BaseGeometry) -> BaseGeometry:
    """Round the corners of a shape to the grid of the file and mend what the rounding broke."""
    rounded = shapely.transform(shape, lambda points: np.round(points * GRID_PER_DEGREE) / GRID_PER_DEGREE)
    if not shapely.is_valid(rounded):
        rounded = shapely.make_valid(rounded)
    return _areas(rounded)


def _areas(shape: BaseGeometry) -> BaseGeometry:
    parts = [part for part in shapely.get_parts(shape, return_index=False) if part.area > 0]
    polygons = [p for part in parts for p in shapely.get_parts(part)]
    return polygons[0] if len(polygons) == 1 else shapely.MultiPolygon(polygons)


def encode(shape: BaseGeometry) -> bytes:
    """One record of a Polygon or MultiPolygon whose corners lie on the grid."""
    polygons = shapely.get_parts(shape)
    rings, ring_owner = shapely.get_rings(polygons, return_index=True)
    rings_of_polygon = np.bincount(ring_owner, minlength=len(polygons))
    points_of_ring = shapely.get_num_coordinates(rings)
    counts = np.concatenate([[len(polygons), len(rings)], rings_of_polygon, points_of_ring]).astype(_COUNT)
    corners = np.round(shapely.get_coordinates(rings) * GRID_PER_DEGREE).astype(_STEP)
    steps = np.diff(corners, axis=0, prepend=np.zeros((1, 2), _STEP)).astype(_STEP)
    planes = steps.view(np.uint8).reshape(-1, 8).T
    return zlib.compress(counts.tobytes() + planes.tobytes(), 9)


def decode(record: bytes) -> BaseGeometry:
    """The shape of one record: a MultiPolygon, longitude and latitude in degrees on WGS84."""
    raw = zlib.decompress(record)
    n_polygons, n_rings = (int(n) for n in np.frombuffer(raw, _COUNT, 2))
    counts = np.frombuffer(raw, _COUNT, n_polygons + n_rings, 8).astype(np.int64)
    planes = np.frombuffer(raw, np.uint8, offset=8 + 4 * len(counts)).reshape(8, -1)
    steps = np.ascontiguousarray(planes.T).view(_STEP)
    corners = np.cumsum(steps, axis=0, dtype=np.int64) / GRID_PER_DEGREE
    offsets = (_starts(counts[n_polygons:]), _starts(counts[:n_polygons]), np.array([0, n_polygons]))
    shape: BaseGeometry = shapely.from_ragged_array(shapely.GeometryType.MULTIPOLYGON, corners, offsets)[0]
    return shape


def _starts(counts: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    return np.concatenate([np.zeros(1, np.int64), np.cumsum(counts)])


def write(path: Path, shapes: Mapping[str, BaseGeometry]) -> None:
    """Write the outlines to ``path``, in the order of their codes, the same bytes for the same outlines."""
    records = {code: encode(shapes[code]) for code in sorted(shapes)}
    index: dict[str, tuple[int, int]] = {}
    offset = 0
    for code, record in records.items():
        index[code] = (offset, len(record))
        offset += len(record)
    head = zlib.compress(json.dumps(index, separators=(",", ":")).encode(), 9)
    path.write_bytes(len(head).to_bytes(4, "little") + head + b"".join(records.values()))


class OutlineFile(Mapping[str, BaseGeometry]):
    """Outlines by code, each read and decoded when it is first asked for, and kept."""

    def __init__(self, path: Path) -> None:
        self._path = path
        with path.open("rb") as file:
            head_length = int.from_bytes(file.read(4), "little")
            self._index: dict[str, tuple[int, int]] = json.loads(zlib.decompress(file.read(head_length)))
        self._body = 4 + head_length
        self._decoded: dict[str, BaseGeometry] = {}

    def __getitem__(self, code: str) -> BaseGeometry:
        if code not in self._decoded:
            offset, length = self._index[code]
            with self._path.open("rb") as file:
                file.seek(self._body + offset)
                self._decoded[code] = decode(file.read(length))
        return self._decoded[code]

    def __contains__(self, code: object) -> bool:
        return code in self._index

    def __iter__(self) -> Iterator[str]:
        return iter(self._index)

    def __len__(self) -> int:
        return len(self._index)
