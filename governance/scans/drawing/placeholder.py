"""What stands where a page cannot be drawn: a broken frame, and a sentence."""

from __future__ import annotations

import io

from PIL import Image, ImageDraw, ImageFont

_PAPER, _LINE, _INK = 0xFF, 0x90, 0x50
_ASPECT = 1.414  # A4


def placeholder(width: int, words: str) -> bytes:
    """A picture with a sentence, as PNG. Thumbnails are too small for words."""
    height = round(width * _ASPECT)
    picture = Image.new("L", (width, height), _PAPER)
    drawing = ImageDraw.Draw(picture)
    side, left, top = round(width * 0.3), round(width * 0.35), round(height * 0.34)
    _broken_frame(drawing, left, top, side, max(2, width // 180))
    if width > 300:
        size = width // 36
        drawing.multiline_text(
            (width / 2, top + side + size * 2), words, fill=_INK, font=ImageFont.load_default(size), anchor="ma",
            align="center", spacing=size // 2,
        )  # fmt: skip
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()


def _broken_frame(drawing: ImageDraw.ImageDraw, left: int, top: int, side: int, line: int) -> None:
    """Each side in four dashes."""
    dash = side / 7
    for step in range(0, 7, 2):
        start, end = round(step * dash), round((step + 1) * dash)
        for near in (0, side):
            drawing.line([(left + start, top + near), (left + end, top + near)], fill=_LINE, width=line)
            drawing.line([(left + near, top + start), (left + near, top + end)], fill=_LINE, width=line)
