"""Land to draw areas on: the outlines of all countries, coarse enough to send to a browser."""

from __future__ import annotations

import numpy as np
import shapely

from governance.jurisdictions import outlines

TOLERANCE_DEG = 0.05
"""How far the line may lie from the outline: 5 km, no more than what the outline itself is known to."""

_SMALLEST_DEG2 = 0.0005
_PER_DEGREE = 100


def land_path() -> str:
    """One SVG path in degrees, longitude to the right and latitude upwards (so y is its negative)."""
    mapped = outlines.countries()
    parts = np.concatenate([shapely.get_parts(mapped[code]) for code in mapped])
    simple = shapely.simplify(parts, TOLERANCE_DEG)
    kept = simple[~shapely.is_empty(simple) & (shapely.area(simple) > _SMALLEST_DEG2)]
    return "".join(_ring(shapely.get_coordinates(ring)) for ring in shapely.get_exterior_ring(kept))


def _ring(corners: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> str:
    """Relative steps in hundredths of a degree: half the letters of absolute ones."""
    whole = np.rint(corners * _PER_DEGREE).astype(int)
    steps = np.diff(whole, axis=0)
    start = f"M{whole[0][0] / _PER_DEGREE:g} {-whole[0][1] / _PER_DEGREE:g}l"
    return start + " ".join(f"{x / _PER_DEGREE:g} {-y / _PER_DEGREE:g}" for x, y in steps[:-1] if x or y) + "z"


def boxes() -> dict[str, list[float]]:
    """West, south, east and north of each country, to open the map where the paper holds."""
    mapped = outlines.countries()
    return {code: [round(side, 2) for side in mapped[code].bounds] for code in mapped}
