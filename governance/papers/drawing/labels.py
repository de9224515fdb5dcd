"""Where the words of a map stand: beside what they name, never over one another, and left out rather than crowded."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

Box = tuple[float, float, float, float]

CHARACTER_WIDTH = 6.6
"""Units that a letter of 12 units takes on average, a little generous."""

LINE_HEIGHT = 14.0


@dataclass(frozen=True)
class Label:
    """Words at a place of the drawing. style: classes of the stylesheet (``strong``, ``m`` for middle, ...)."""

    text: str
    x: float
    y: float
    style: str = ""


class Labels:
    """Takes labels one after the other, the weightiest first, and finds room for each."""

    def __init__(self, width: float, height: float, taken: Iterable[Box] = ()) -> None:
        self._width, self._height = width, height
        self._taken = list(taken)
        self.placed: list[Label] = []

    def beside(self, text: str, x: float, y: float, gap: float, style: str = "") -> bool:
        """Beside a point, at the first free of eight places; whether there was room."""
        long = len(text) * CHARACTER_WIDTH
        left, middle, right = x - gap - long, x - long / 2, x + gap
        over, level, under = y - gap - 3, y + 4, y + gap + 11
        places = [(right, level), (left, level), (middle, over), (middle, under),
                  (right, over + 4), (right, under - 4), (left, over + 4), (left, under - 4)]  # fmt: skip
        return any(self._put(text, a, b, style) for a, b in places)

    def centred(self, text: str, x: float, y: float, style: str = "") -> bool:
        """On a place, or a line or two above or below it; whether there was room."""
        left = x - len(text) * CHARACTER_WIDTH / 2
        shifts = (0, -LINE_HEIGHT, LINE_HEIGHT, -2.2 * LINE_HEIGHT, 2.2 * LINE_HEIGHT)
        return any(self._put(text, left, y + 4 + shift, style) for shift in shifts)

    def _put(self, text: str, left: float, baseline: float, style: str) -> bool:
        box = (left - 2, baseline - 11, left + len(text) * CHARACTER_WIDTH + 2, baseline + 4)
        inside = box[0] >= 4 and box[1] >= 2 and box[2] <= self._width - 4 and box[3] <= self._height - 2
        if not inside or any(_meet(box, other) for other in self._taken):
            return False
        self._taken.append(box)
        self.placed.append(Label(text, round(left, 1), round(baseline, 1), style))
        return True


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
