"""The scale bar and the lines of longitude and latitude: round numbers that fit the map."""

from __future__ import annotations

import math
from dataclasses import dataclass

from governance.engine.explain import distance
from governance.papers.drawing.view import View

WIDEST_BAR = 0.26
"""Share of the width that a scale bar may take."""

SCALE_CORNER = 0.36
"""Share of the width, from the left, that the scale takes in the lowest line."""

NORTH_CORNER = 56.0
"""Height that the arrow to the north takes in the right upper corner."""

_TALLEST_TRUE_DEG = 40.0
"""Above this span of latitude one bar would be wrong over most of the map, so there is none."""

_DEGREE_STEPS = (30, 15, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001)


@dataclass(frozen=True)
class ScaleBar:
    """A bar of ``length`` units that stands for ``text``."""

    length: float
    text: str


@dataclass(frozen=True)
class GridLine:
    """A line of longitude or latitude at x or y of the drawing."""

    at: float
    text: str


def scale_bar(view: View) -> ScaleBar | None:
    """The longest of 1, 2, 5 times a power of ten that fits; None on a map so tall that its scale changes."""
    if view.north - view.south > _TALLEST_TRUE_DEG:
        return None
    metres = round_below(view.width * WIDEST_BAR * view.m_per_unit)
    return ScaleBar(round(metres / view.m_per_unit, 1), distance_label(metres))


def round_below(value: float) -> float:
    """The largest of 1, 2 and 5 times a power of ten that is not above a positive value.

    >>> round_below(730.0), round_below(0.31), round_below(2.0)
    (500.0, 0.2, 2.0)
    """
    power = 10.0 ** math.floor(math.log10(value) + 1e-9)
    leading = next(n for n in (5, 2, 1) if n * power <= value * (1 + 1e-9))
    return round(leading * power, 9)


def distance_label(metres: float) -> str:
    """A round distance in words.

    >>> distance_label(500.0), distance_label(2000.0), distance_label(100_000.0)
    ('500 m', '2 km', '100 km')
    """
    return f"{metres / 1000:,.0f} km" if metres >= 1000 else distance(metres)


def meridians(view: View) -> list[GridLine]:
    """Lines of longitude; no words where the scale stands."""
    lines = []
    for at in _round_values(view.west, view.east):
        x = round((at - view.west) / (view.east - view.west) * view.width, 1)
        has_room = view.width * SCALE_CORNER < x < view.width - 40
        lines.append(GridLine(x, degrees((at + 180) % 360 - 180, "EW") if has_room else ""))
    return lines


def parallels(view: View) -> list[GridLine]:
    """Lines of latitude; no words where the arrow to the north stands, nor in the lowest line."""
    lines = []
    for at in _round_values(max(view.south, -90.0), min(view.north, 90.0)):
        y = round(view.y(at), 1)
        lines.append(GridLine(y, degrees(at, "NS") if NORTH_CORNER < y < view.height - 24 else ""))
    return lines


def _round_values(first: float, last: float) -> list[float]:
    step = next((step for step in _DEGREE_STEPS if (last - first) / step >= 2.4), _DEGREE_STEPS[-1])
    count = range(math.ceil(first / step), math.floor(last / step) + 1)
    return [round(n * step, 6) for n in count]


def degrees(value: float, sides: str) -> str:
    """Degrees with the side of the world.

    >>> degrees(-84.5, "EW"), degrees(0.0, "NS"), degrees(12.25, "NS")
    ('84.5° W', '0°', '12.25° N')
    """
    if value in (0, 180, -180):
        return f"{abs(value):.0f}°"
    return f"{abs(value):.6f}".rstrip("0").rstrip(".") + f"° {sides[0] if value > 0 else sides[1]}"
