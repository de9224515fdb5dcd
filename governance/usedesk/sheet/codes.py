"""Codes that a reader or a telephone reads: QR, ISO/IEC 18004, with the quiet zone of four modules that it asks for."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Final

import segno

from governance.papers.printed.blocks import Picture

QUIET_MODULES: Final = 4
"""ISO/IEC 18004 asks for at least four modules of white around a code."""

_PIXELS_A_MODULE: Final = 6


def code_picture(text: str, alt: str, width_cm: float) -> Picture:
    """The code of a text in a size."""
    png, svg = _drawn(text)
    return Picture(png, svg, alt, width_cm)


@lru_cache(maxsize=4096)
def _drawn(text: str) -> tuple[bytes, str]:
    """Correction level M: about a seventh of it may be hurt. Never a Micro QR, which few readers read.

    Kept, since the page and the file of a sheet have the same codes, and each takes some milliseconds.
    """
    code = segno.make(text, error="m", micro=False, boost_error=False)
    png = io.BytesIO()
    code.save(png, kind="png", scale=_PIXELS_A_MODULE, border=QUIET_MODULES)
    svg = code.svg_inline(border=QUIET_MODULES, omitsize=True, svgclass=None, lineclass=None)
    return png.getvalue(), svg
