"""Codes that a reader or a telephone reads: QR, ISO/IEC 18004, with the quiet zone of four modules that it asks for."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Final

import segno

from governance.papers.printed.blocks import Picture

QUIET_MODULES: Final = 4
"""ISO/IEC 18004 asks for at least four modules of white around a code."""

FINEST_MM: Final = 0.25
"""Side of a module that office printers and readers at hand manage: common practice, no source."""

_PIXELS_A_MODULE: Final = 6


def code_picture(text: str, alt: str, width_cm: float) -> Picture | None:
    """The code of a text in a size; None where it would be too fine to be read from paper, as of a very long number."""
    side, png, svg = _drawn(text)
    if width_cm * 10 / side < FINEST_MM:
        return None
    return Picture(png, svg, alt, width_cm)


@lru_cache(maxsize=4096)
def _drawn(text: str) -> tuple[int, bytes, str]:
    """Modules of a side with the quiet zone, and the drawings.

    Correction level M: about a seventh of it may be hurt. Never a Micro QR, which few readers read.

    Kept, since the page and the file of a sheet have the same codes, and each takes some milliseconds.
    """
    code = segno.make(text, error="m", micro=False, boost_error=False)
    png = io.BytesIO()
    code.save(png, kind="png", scale=_PIXELS_A_MODULE, border=QUIET_MODULES)
    svg = code.svg_inline(border=QUIET_MODULES, omitsize=True, svgclass=None, lineclass=None)
    return len(code.matrix) + 2 * QUIET_MODULES, png.getvalue(), svg
