"""Shapes as the path language of SVG (SVG 2, 9.3), in steps of a tenth of a unit."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

_STEPS_PER_UNIT = 10


def path_of(shape: BaseGeometry, tolerance: float = 0.35) -> str:
    """The rings of all polygons as one path, simplified to within ``tolerance`` units; "" for nothing to see.

    >>> path_of(shapely.box(0, 0, 2, 1))
    'M2 0l0 1 -2 0 0 -1z'
    """
    simple = shapely.simplify(shape, tolerance, preserve_topology=True)
    rings = shapely.get_rings(shapely.get_parts(simple))
    return "".join(_ring(shapely.get_coordinates(ring)) for ring in rings)


def _ring(corners: npt.NDArray[np.float64]) -> str:
    """One ring: its first corner, then steps. Corners that fall on the one before are left out."""
    steps = np.round(corners * _STEPS_PER_UNIT).astype(np.int64)
    steps = steps[np.r_[True, np.any(np.diff(steps, axis=0) != 0, axis=1)]]
    if len(steps) < 4:
        return ""
    words = [_number(step) for step in np.diff(steps[:-1], axis=0, prepend=0).ravel().tolist()]
    return f"M{words[0]} {words[1]}l{' '.join(words[2:])}z"


@lru_cache(maxsize=16_384)
def _number(steps: int) -> str:
    """Steps as units, without a needless zero.

    >>> _number(25), _number(-20)
    ('2.5', '-2')
    """
    whole, tenth = divmod(abs(steps), _STEPS_PER_UNIT)
    return ("-" if steps < 0 else "") + (f"{whole}.{tenth}" if tenth else str(whole))
