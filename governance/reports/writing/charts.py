"""Charts of a report, drawn by our own code: SVG for pages, PNG for files, both of the same numbers.

In a picture stand digits and codes alone, which every font has; words stand beside it in the text.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

from PIL import Image, ImageDraw, ImageFont

from governance.papers.printed.blocks import Picture

_WIDTH: Final = 900
_TALL: Final = 300
_GREEN, _PALE, _INK, _LINE = "#0a6549", "#d3e4dc", "#13262d", "#9aa9ab"
_TEXT: Final = 22
_ROW: Final = 44
_DIGIT: Final = 13
_YEAR_WIDTH: Final = 62
_LABEL_WIDTH: Final = 350
_MOST_SHOWN: Final = 2.0
"""Of a promise twice and more was given: the bar ends there, its number tells."""


@dataclass(frozen=True)
class _Box:
    """A rectangle. style: the class of the page, which is the colour of the file too."""

    x: float
    y: float
    width: float
    height: float
    style: str


@dataclass(frozen=True)
class _Word:
    """Digits or a code. anchor: ``m`` in the middle, ``l`` at the left, ``r`` at the right."""

    x: float
    y: float
    text: str
    anchor: str


_COLOURS: Final = {"chart-full": _GREEN, "chart-frame": _PALE, "chart-line": _LINE}


def columns_chart(bars: Sequence[tuple[str, int]], texts: Sequence[str], alt: str, width_cm: float) -> Picture:
    """Upright bars, each with its label below and its number above. texts: the numbers as they are written."""
    highest = max(number for _label, number in bars) or 1
    step = _WIDTH / len(bars)
    wide = min(step * 0.62, 80.0)
    ground = _TALL - 36
    boxes, words = [_Box(0, ground, _WIDTH, 2, "chart-line")], []
    every = -(-len(bars) * _YEAR_WIDTH // _WIDTH)
    longest = max(map(len, texts))
    for place, ((label, number), text) in enumerate(zip(bars, texts, strict=True)):
        middle = (place + 0.5) * step
        height = number / highest * (ground - 34)
        boxes.append(_Box(middle - wide / 2, ground - height, wide, height, "chart-full"))
        if place % every == 0:
            words.append(_Word(middle, _TALL - 12, label, "m"))
        if number and longest * _DIGIT < step:
            words.append(_Word(middle, ground - height - 12, text, "m"))
    return _picture(boxes, words, _TALL, alt, width_cm)


def given_chart(bars: Sequence[tuple[str, float]], texts: Sequence[str], alt: str, width_cm: float) -> Picture:
    """A frame a promise, filled as far as it was given; the bar of what goes beyond is longer than its frame."""
    boxes, words = [], []
    longest = min(max([1.0, *(share for _label, share in bars)]), _MOST_SHOWN)
    frame = (_WIDTH - _LABEL_WIDTH - 110) / longest
    for place, ((label, share), text) in enumerate(zip(bars, texts, strict=True)):
        top = place * _ROW + 8
        filled = min(max(share, 0.0), longest) * frame
        boxes += [_Box(_LABEL_WIDTH, top, frame, _ROW - 18, "chart-frame")]
        boxes += [_Box(_LABEL_WIDTH, top + 4, filled, _ROW - 26, "chart-full")] if filled else []
        boxes += [_Box(_LABEL_WIDTH + frame - 2, top, 2, _ROW - 18, "chart-line")] if share > 1 else []
        words += [_Word(0, top + 13, label, "l"), _Word(_WIDTH, top + 13, text, "r")]
    return _picture(boxes, words, len(bars) * _ROW + 8, alt, width_cm)


def _picture(boxes: Sequence[_Box], words: Sequence[_Word], height: int, alt: str, width_cm: float) -> Picture:
    return Picture(_png(boxes, words, height), _svg(boxes, words, height), alt, width_cm)


def _svg(boxes: Sequence[_Box], words: Sequence[_Word], height: int) -> str:
    anchors = {"m": "middle", "l": "start", "r": "end"}
    drawn = [f'<rect class="{one.style}" x="{one.x:.1f}" y="{one.y:.1f}" width="{one.width:.1f}" '
             f'height="{one.height:.1f}"/>' for one in boxes]  # fmt: skip
    drawn += [f'<text class="chart-text" x="{one.x:.1f}" y="{one.y + 7:.1f}" text-anchor="{anchors[one.anchor]}">'
              f"{escape(one.text)}</text>" for one in words]  # fmt: skip
    return f'<svg viewBox="0 0 {_WIDTH} {height}" aria-hidden="true">{"".join(drawn)}</svg>'


def _png(boxes: Sequence[_Box], words: Sequence[_Word], height: int) -> bytes:
    picture = Image.new("RGB", (_WIDTH, height), "white")
    pen = ImageDraw.Draw(picture)
    for one in boxes:
        if one.width >= 1 and one.height >= 1:
            pen.rectangle([one.x, one.y, one.x + one.width - 1, one.y + one.height - 1], fill=_COLOURS[one.style])
    for word in words:
        pen.text((word.x, word.y), word.text.replace("\u00a0", " "), fill=_INK, font=_font(), anchor=f"{word.anchor}m")
    out = io.BytesIO()
    picture.quantize(32, Image.Quantize.FASTOCTREE).save(out, "PNG")
    return out.getvalue()


def _font() -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(_TEXT)
