"""The reading pane: which page of a scan is shown, how large, how turned, with what marked on it.

All of it stands in the address, so that the pane works by links; ``pane.js`` does the same without loading the page
anew. Boxes are left, top, right, bottom, from 0 to 1 of the page, from its upper left corner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from django.http import QueryDict
from django.utils.translation import gettext as _

from governance.scans.drawing.sizes import LARGE, READING, TURNS
from governance.scans.models import Scan

Box = tuple[float, float, float, float]

SIZES: Final = ("fit", "width", "150", "200", "300")
"""How large the page is shown: all of it, as wide as the pane, and in percent of that width."""

_MOST_BOXES = 300
_MOST_THUMBNAILS = 200


@dataclass(frozen=True)
class Pane:
    """What the pane shows. first, last: the pages that can be turned to; page: the one that is shown."""

    scan: Scan
    first: int
    last: int
    page: int
    turn: int
    size: str
    boxes: tuple[Box, ...]
    others: QueryDict
    """What else stands in the address of the page."""

    @property
    def is_range(self) -> bool:
        """Whether only some of the pages can be turned to."""
        return (self.first, self.last) != (1, self.scan.page_count)

    @property
    def page_in_range(self) -> int:
        return self.page - self.first + 1

    @property
    def pages_in_range(self) -> int:
        return self.last - self.first + 1

    @property
    def thumbnails(self) -> range:
        """The pages that are shown small; of a very long scan those around the page."""
        start = max(self.first, min(self.page - _MOST_THUMBNAILS // 2, self.last - _MOST_THUMBNAILS + 1))
        return range(start, min(self.last, start + _MOST_THUMBNAILS - 1) + 1)

    @property
    def width(self) -> int:
        """Width of the picture in pixels."""
        return READING if self.size in ("fit", "width") else LARGE

    @property
    def drawn_boxes(self) -> list[dict[str, str]]:
        """The marked boxes on the turned page, as attributes of rectangles in percent."""
        return [_rectangle(turned(box, self.turn)) for box in self.boxes]

    @property
    def boxes_text(self) -> str:
        return boxes_text(self.boxes)

    @property
    def kept(self) -> list[tuple[str, str]]:
        """All of the address but the page and its marks, for the form that goes to a page."""
        fields = [(name, value) for name, values in self.others.lists() for value in values]
        return [*fields, ("turn", str(self.turn)), ("size", self.size)]

    @property
    def href_previous(self) -> str:
        return self.href(page=max(self.first, self.page - 1))

    @property
    def href_next(self) -> str:
        return self.href(page=min(self.last, self.page + 1))

    @property
    def href_larger(self) -> str:
        return self.href(size=self._step(1))

    @property
    def href_smaller(self) -> str:
        return self.href(size=self._step(-1))

    @property
    def href_fit(self) -> str:
        return self.href(size="fit")

    @property
    def href_turn(self) -> str:
        return self.href(turn=(self.turn + 90) % 360)

    @property
    def is_smallest(self) -> bool:
        return self.size == SIZES[0]

    @property
    def is_largest(self) -> bool:
        return self.size == SIZES[-1]

    @property
    def page_links(self) -> list[tuple[int, str]]:
        """The pages that are shown small, and the address of each."""
        return [(page, self.href(page=page)) for page in self.thumbnails]

    def _step(self, by: int) -> str:
        place = SIZES.index(self.size) + by
        return SIZES[min(max(place, 0), len(SIZES) - 1)]

    def href(self, *, page: int | None = None, turn: int | None = None, size: str | None = None) -> str:
        """The address of the same page with the pane as asked. Marks stay with their page."""
        query = self.others.copy()
        query["page"] = str(self.page if page is None else page)
        query["turn"] = str(self.turn if turn is None else turn)
        query["size"] = self.size if size is None else size
        if self.boxes and page in (None, self.page):
            query["mark"] = self.boxes_text
        return f"?{query.urlencode(safe=',;')}#pane"


def pane_of(scan: Scan, asked: QueryDict, *, first: int | None = None, last: int | None = None,
            page: int | None = None, marks: Sequence[Sequence[float]] = ()) -> Pane:  # fmt: skip
    """The pane as the address asks for it; what makes no sense is left out, never an error.

    Args:
        asked: page, turn, size, mark of the address.
        first, last: the pages that can be turned to; None: all.
        page, marks: what is shown and marked if the address does not say.
    """
    count = scan.page_count or 1
    lowest = min(max(first or 1, 1), count)
    highest = min(max(last or count, lowest), count)
    opened = min(max(page or lowest, lowest), highest)
    shown = _number(asked.get("page", ""), lowest, highest, opened)
    boxes = boxes_of(asked.get("mark") or "") if "mark" in asked else _sound(marks) if shown == opened else ()
    others = asked.copy()
    for name in ("page", "turn", "size", "mark"):
        others.pop(name, None)
    return Pane(
        scan=scan, first=lowest, last=highest, page=shown,
        turn=next((turn for turn in TURNS if str(turn) == asked.get("turn")), 0),
        size=next((size for size in SIZES if size == asked.get("size")), "width"), boxes=tuple(boxes), others=others,
    )  # fmt: skip


def _number(text: str, lowest: int, highest: int, otherwise: int) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 8):
        return otherwise
    return min(max(int(text), lowest), highest)


def boxes_of(text: str) -> tuple[Box, ...]:
    """The boxes of ``left,top,right,bottom;left,...``; what is no box on the page is left out."""
    found = []
    for part in text.split(";")[:_MOST_BOXES]:
        try:
            found.append([float(number) for number in part.split(",")])
        except ValueError:
            continue
    return _sound(found)


def boxes_text(boxes: Sequence[Box]) -> str:
    """The boxes as ``boxes_of`` reads them; a ten-thousandth of a page is enough."""
    return ";".join(",".join(f"{number:.4f}".rstrip("0").rstrip(".") for number in box) for box in boxes)


def _sound(boxes: Sequence[Sequence[float]]) -> tuple[Box, ...]:
    """Those that have an area on the page."""
    return tuple(
        (left, top, right, bottom)
        for left, top, right, bottom in (box for box in boxes[:_MOST_BOXES] if len(box) == 4)
        if all(map(math.isfinite, (left, top, right, bottom))) and 0 <= left < right <= 1 and 0 <= top < bottom <= 1
    )


def turned(box: Box, turn: int) -> Box:
    """Where a box is once the page is turned clockwise: a quarter takes (x, y) to (1 - y, x)."""
    left, top, right, bottom = box
    for _quarter in range(turn // 90):
        left, top, right, bottom = 1 - bottom, left, 1 - top, right
    return left, top, right, bottom


def _rectangle(box: Box) -> dict[str, str]:
    left, top, right, bottom = (100 * number for number in box)
    return {"x": f"{left:.2f}%", "y": f"{top:.2f}%", "width": f"{right - left:.2f}%", "height": f"{bottom - top:.2f}%"}


def page_words(number: int, count: int) -> str:
    """``Page 14 of 60``."""
    return _("Page %(number)s of %(count)s") % {"number": number, "count": count}
