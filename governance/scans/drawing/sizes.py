"""How large a page is drawn."""

from __future__ import annotations

from typing import Final

THUMBNAIL: Final = 160
READING: Final = 900
LARGE: Final = 1600
WIDTHS: Final = (THUMBNAIL, READING, LARGE)
"""Widths in pixels that can be asked for; no others, so that nobody fills the disk with pictures of one page."""

TURNS: Final = (0, 90, 180, 270)
"""Degrees clockwise by which a person turned the page."""

HIGHEST: Final = 4
"""A picture is at most so many times as high as the width that was asked for: a till roll is drawn narrow, not long."""


def fitted(page_width: float, page_height: float, width: int, *, enlarge: bool) -> tuple[int, int]:
    """Width and height in pixels of the picture of a page; sides of the page in any unit.

    enlarge: whether a page that is smaller than asked (then: in pixels) grows. What is drawn from lines does, a
    photograph does not.

    Raises:
        ValueError: a page without area.
    """
    if not (page_width > 0 and page_height > 0):
        raise ValueError(f"a page of {page_width:g} by {page_height:g} has no area")
    scale = min(width / page_width, width * HIGHEST / page_height)
    if not enlarge:
        scale = min(scale, 1.0)
    return max(1, round(page_width * scale)), max(1, round(page_height * scale))
