"""Codes that a reader or a telephone reads: QR, ISO/IEC 18004, with the quiet zone of four modules that it asks for."""

from __future__ import annotations

import io
from typing import Final

import segno

from governance.papers.printed.blocks import Picture

QUIET_MODULES: Final = 4
"""ISO/IEC 18004 asks for at least four modules of white around a code."""

_PIXELS_A_MODULE: Final = 6


def code_picture(text: str, alt: str, width_cm: float) -> Picture:
    """The code of a text, correction level M: a seventh of it may be hurt. Never a Micro QR, which few readers read."""
    code = segno.make(text, error="m", micro=False, boost_error=False)
    png = io.BytesIO()
    code.save(png, kind="png", scale=_PIXELS_A_MODULE, border=QUIET_MODULES)
    svg = code.svg_inline(border=QUIET_MODULES, omitsize=True, svgclass=None, lineclass=None)
    return Picture(png.getvalue(), svg, alt, width_cm)
