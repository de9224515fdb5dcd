"""Positions as people type them, against published coordinates and hand arithmetic."""

from __future__ import annotations

import pytest

from governance.plans.pack.grid import decimal_degrees, degrees_minutes, utm


@pytest.mark.parametrize(
    ("longitude", "latitude", "told"),
    [
        # 0.95 x 60 = 57; 0.3 x 60 = 18
        (15.3, 61.95, "61° 57.000′ N, 15° 18.000′ E"),
        (-15.3, -61.95, "61° 57.000′ S, 15° 18.000′ W"),
        # 59.9999999 minutes round to the next degree, never to "60.000"
        (0.9999999999, 0.0, "0° 00.000′ N, 1° 00.000′ E"),
        (180.0, 90.0, "90° 00.000′ N, 180° 00.000′ E"),
    ],
)
def test_degrees_and_minutes(longitude: float, latitude: float, told: str) -> None:
    assert degrees_minutes(longitude, latitude) == told


def test_latitude_comes_first_with_its_letter() -> None:
    """ISO 6709: latitude before longitude; the letters of its text for people."""
    assert decimal_degrees(-71.5, -13.25) == "13.25000° S, 71.50000° W"


def test_utm_of_the_central_meridian() -> None:
    """By definition: 500 000 m east on the central meridian, 0 m north at the equator (10 000 000 in the south).

    Zone 31 has the meridian 3 E (31 x 6 - 183).
    """
    assert utm(3.0, 0.0) == (31, True, 500_000, 0)
    zone, is_north, east, north = utm(3.0, -1e-9) or (0, True, 0, 0)
    assert (zone, is_north, east, north) == (31, False, 500_000, 10_000_000)


def test_utm_of_a_published_point() -> None:
    """CN Tower: 43°38'33.24"N 79°23'13.7"W is 17T 630084 4833438 (Wikipedia, Universal Transverse Mercator).

    The article cuts metres off where we round: a metre of difference is allowed.
    """
    zone, is_north, east, north = utm(-(79 + 23 / 60 + 13.7 / 3600), 43 + 38 / 60 + 33.24 / 3600) or (0, False, 0, 0)
    assert (zone, is_north) == (17, True)
    assert (east, north) == (pytest.approx(630_084, abs=1), pytest.approx(4_833_438, abs=1))


def test_there_is_no_utm_at_the_poles_and_the_last_zone_is_60() -> None:
    assert utm(0.0, 84.1) is None
    assert utm(0.0, -80.1) is None
    assert (utm(180.0, 10.0) or (0,))[0] == 60
