"""How large pages are drawn. Expected values are arithmetic, shown beside each."""

from __future__ import annotations

import pytest

from governance.scans.drawing.sizes import fitted


@pytest.mark.parametrize(
    ("page", "width", "enlarge", "expected"),
    [
        # A4 is 210 by 297 mm (ISO 216): 900 * 297 / 210 = 1272.86
        ((210, 297), 900, True, (900, 1273)),
        # landscape: 900 * 210 / 297 = 636.36
        ((297, 210), 900, True, (900, 636)),
        # a till roll of 80 mm by 2 m would be 22500 pixels high; at most 4 * 900 = 3600, so 80 * 3600 / 2000 = 144 wide
        ((80, 2000), 900, True, (144, 3600)),
        # just not too long: 4 times as high as wide
        ((100, 400), 160, True, (160, 640)),
        # a page of 200 inches, the most that ISO 32000-1 (annex C) lets a PDF have: drawn no larger for it
        ((14400, 14400), 1600, True, (1600, 1600)),
        # one point wide: 4 * 160 / 14400 = 0.044, and no side is less than a pixel
        ((1, 14400), 160, True, (1, 640)),
        # a photograph smaller than asked stays as it is, a page of lines grows
        ((50, 80), 160, False, (50, 80)),
        ((50, 80), 160, True, (160, 256)),
        # a photograph as large as asked, and one pixel wider: 300 * 160 / 161 = 298.1
        ((160, 300), 160, False, (160, 300)),
        ((161, 300), 160, False, (160, 298)),
    ],
)
def test_size_of_picture(page: tuple[float, float], width: int, enlarge: bool, expected: tuple[int, int]) -> None:
    assert fitted(*page, width, enlarge=enlarge) == expected


@pytest.mark.parametrize("page", [(0, 842), (595, 0), (-595, 842), (float("nan"), 842)])
def test_page_without_area_is_refused(page: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="has no area"):
        fitted(*page, 900, enlarge=True)
