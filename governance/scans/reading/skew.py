"""How far a page lies askew, by its own lines: turned rightly, rows of ink and rows of paper alternate most sharply."""

from __future__ import annotations

from typing import Final

import numpy as np
from PIL import Image

_WIDTH: Final = 1000
"""Pixels of the small picture that is looked at."""

_MOST_DEG: Final = 6.0
_MOST_INK: Final = 200_000

_Ink = tuple["np.ndarray[tuple[int], np.dtype[np.float64]]", "np.ndarray[tuple[int], np.dtype[np.float64]]"]


def skew_deg(page: Image.Image) -> float:
    """Degrees, counter-clockwise, by which the picture must be turned; 0 where nothing is to be seen.

    Coarse steps first, then fine ones about the best: to a twentieth of a degree.
    """
    ink = _ink(page)
    if len(ink[0]) < 200:
        return 0.0
    best = _best(ink, np.arange(-_MOST_DEG, _MOST_DEG + 0.01, 0.4))
    best = _best(ink, np.arange(best - 0.4, best + 0.41, 0.05))
    return round(float(best), 2)


def _ink(page: Image.Image) -> _Ink:
    """Columns and rows of the dark pixels, of every so many if they are many."""
    height = max(1, round(page.height * _WIDTH / page.width))
    small = np.asarray(page.convert("L").resize((_WIDTH, height), Image.Resampling.BOX), dtype=np.float64)
    dark = small < _threshold(small)
    rows, columns = np.nonzero(dark)
    step = max(1, len(rows) // _MOST_INK)
    return columns[::step].astype(np.float64), rows[::step].astype(np.float64)


def _threshold(grey: "np.ndarray[tuple[int, int], np.dtype[np.float64]]") -> float:  # noqa: UP037
    """Half way between ink and paper: the darkest hundredth, and the middle of all."""
    ink, paper = np.percentile(grey, (1, 50))
    return float(ink + (paper - ink) * 0.5)


def _best(ink: _Ink, angles: "np.ndarray[tuple[int], np.dtype[np.float64]]") -> float:  # noqa: UP037
    return float(max(angles, key=lambda angle: _sharpness(ink, float(angle))))


def _sharpness(ink: _Ink, angle_deg: float) -> float:
    """How unevenly ink lies on the rows of the page when it is turned so."""
    columns, rows = ink
    turned = rows - columns * np.tan(np.radians(angle_deg))
    counts = np.bincount((turned - turned.min()).astype(np.int64))
    return float(np.square(counts.astype(np.float64)).sum())
