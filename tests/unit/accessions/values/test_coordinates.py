"""Positions, radii and footprints beyond the published check values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from accessions.values import precision_radius_m, read_footprint, read_position, read_radius_m


# Refusals: contract of verdicts, section 4 (never clamped), and section 8 (a comma is no decimal point).
@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [("91", "10"), ("-90.01", "10"), ("10", "180.0001"), ("9,93", "-84"), ("NaN", "10"), ("inf", "10"), ("1e1", "10"),
     ("10", ""), ("", "10"), ("10", "n/a"), ("−10", "10"), ("٣", "10"), ("10.5.1", "10"), ("- 10", "10"), ("x", "10")],
)  # fmt: skip
def test_decimals_that_cannot_be(latitude: str, longitude: str) -> None:
    read = read_position(decimal_latitude=latitude, decimal_longitude=longitude, datum="WGS84")
    assert (read.position, read.datum_known) == ("invalid", False)
    assert math.isnan(read.latitude_deg) and math.isnan(read.longitude_deg)
    assert read.hint


def test_decimals_that_cannot_be_are_not_replaced_by_the_verbatim_ones() -> None:
    read = read_position(decimal_latitude="91", decimal_longitude="10", verbatim_coordinates="33.3N 44.4E")
    assert read.position == "invalid"


@pytest.mark.parametrize("zero", ["0", "0.0", "-0", "0.0000"])
def test_zero_zero_is_missing(zero: str) -> None:
    assert read_position(decimal_latitude=zero, decimal_longitude="0").position == "none"
    # TDWG BDQ dataID 706: one zero alone is not flagged
    assert read_position(decimal_latitude=zero, decimal_longitude="-71.53").position == "point"


def test_blank_is_none() -> None:
    assert read_position(decimal_latitude="not recorded", decimal_longitude=" ", datum="WGS84").position == "none"


def test_the_datum_of_the_decimals_does_not_speak_for_the_verbatim_ones() -> None:
    assert not read_position(verbatim_coordinates="33.3N 44.4E", datum="WGS84").datum_known
    assert read_position(verbatim_coordinates="33.3N 44.4E", verbatim_srs="WGS84").datum_known


@pytest.mark.parametrize(
    ("latitude", "longitude", "stated", "precision_deg"),
    [("9.93", "-84.08", "", 0.01), ("9.93", "-84.0812", "", 0.01), ("9", "-84.0812", "", 1), ("9.", "-84.0", "", 1),
     ("9.9300", "-84.0812", "", 0.0001), ("9.9301", "-84.0812", "0.01", 0.01), ("9.93", "-84.08", "0.0001", 0.01),
     ("9.9301", "-84.0812", "1E-3", 0.001), ("9.9301", "-84.0812", "0", 0.0001), ("9.9301", "-84.0812", "x", 0.0001)],
)  # fmt: skip
def test_the_coarser_axis_or_the_stated_precision(
    latitude: str, longitude: str, stated: str, precision_deg: float
) -> None:
    read = read_position(decimal_latitude=latitude, decimal_longitude=longitude, coordinate_precision=stated)
    assert read.precision_radius_m == pytest.approx(precision_radius_m(precision_deg, float(latitude)))


# Shifts of well known size. NAD27 to NAD83 in Kansas is some tens of metres (NGS: under 50 m), ED50 to WGS84 in western
# Europe about 130 to 200 m, Campo Inchauspe some 100 m, Tokyo some 400 m; WGS84, NAD83 and ETRS89 are one to a metre or
# two. From memory: the bounds are wide on purpose.
@pytest.mark.parametrize(
    ("datum", "latitude", "longitude", "least_m", "most_m"),
    [
        ("NAD27", 39.0, -98.5, 15, 60),
        ("North American Datum of 1927", 39.0, -98.5, 15, 60),
        ("EPSG:4269", 39.0, -98.5, 0, 2.5),
        ("European 1950", 47.5, 8.5, 100, 220),
        ("ETRS89", 47.5, 8.5, 0, 2.5),
        ("OSGB36", 51.5, 0.0, 80, 140),
        ("Campo Inchauspe", -38.0, -65.0, 30, 300),
        ("Tokyo", 35.7, 139.7, 350, 550),
        ("WGS72", 47.5, 8.5, 1, 30),
        ("wgs_84", 47.5, 8.5, 0, 0),
        ("urn:ogc:def:crs:EPSG::4326", 47.5, 8.5, 0, 0),
        ("http://www.opengis.net/def/crs/EPSG/0/4326", 47.5, 8.5, 0, 0),
    ],
)
def test_stated_datums_are_shifted(
    datum: str, latitude: float, longitude: float, least_m: float, most_m: float
) -> None:
    read = read_position(decimal_latitude=str(latitude), decimal_longitude=str(longitude), datum=datum)
    assert read.datum_known
    north_m = (read.latitude_deg - latitude) * 111_200
    east_m = (read.longitude_deg - longitude) * 111_200 * math.cos(math.radians(latitude))
    assert least_m <= math.hypot(north_m, east_m) <= most_m


@pytest.mark.parametrize(
    "datum", ["", "not recorded", "UTM", "Clarke 1866", "GRS80", "my GPS", "EPSG:99999", "EPSG:4807", 'GEOGCS["x"]']
)
def test_other_datums_are_unknown_and_shift_nothing(datum: str) -> None:
    read = read_position(decimal_latitude="47.5", decimal_longitude="8.5", datum=datum)
    assert (read.latitude_deg, read.longitude_deg, read.datum_known) == (47.5, 8.5, False)


def test_a_datum_far_outside_its_area_is_unknown() -> None:
    read = read_position(decimal_latitude="47.5", decimal_longitude="8.5", datum="NAD27")
    assert (read.latitude_deg, read.datum_known) == (47.5, False)
    assert "not known at this place" in read.hint
    south = read_position(decimal_latitude="-47.5", decimal_longitude="-98.5", datum="NAD27")
    assert (south.latitude_deg, south.datum_known) == (-47.5, False)
    footprint = read_footprint(BOX, "NAD27")
    assert footprint.geometry is not None
    assert (footprint.geometry.bounds, footprint.datum_known) == ((10, 20, 11, 21), False)


# The refusals follow from the rule that only one reading may be possible.
@pytest.mark.parametrize(
    "text",
    ["41 05 21 05", "N41 05 S42 05", "41 05 54S", "33.3N", "33.3N 44.4N", "33.5 10 N 44 10 E", "33,3 44,4",
     "17 630000 4833400", "17S 630000 3800000", "61N 500000 100000", "17T 99999 4833400", "17T 630000 4833400 12",
     "31UDQ4825111", "31AXX1234", "31UXX4825111932", "ZZ 123 456", "see map", "33.3 44.4 55.5", "E44.4 N33.3 W1"],
)  # fmt: skip
def test_verbatim_texts_that_would_be_guesses(text: str) -> None:
    read = read_position(verbatim_coordinates=text)
    assert read.position == "invalid"
    assert read.hint


# A column or a system that says otherwise than the text: the reason is told, and nothing is taken.
@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"verbatim_latitude": "10 E", "verbatim_longitude": "20 N"}, "a latitude stands where"),
        ({"verbatim_latitude": "50 N"}, "verbatimLongitude is blank"),
        ({"verbatim_longitude": "10 E"}, "verbatimLatitude is blank"),
        ({"verbatim_latitude": "10 20:30 N", "verbatim_longitude": "20 E"}, "a colon and other marks"),
        ({"verbatim_coordinates": "TG 514 13177"}, "equally many digits"),
        ({"verbatim_coordinates": "TG514091317"}, "equally many digits"),
        # UTM zone 31 has the columns A to H, of which A lies west of it at 49 degrees; band U ends at 56 degrees north
        ({"verbatim_coordinates": "31U SQ 48251 11932"}, "zone 31 has no column S"),
        ({"verbatim_coordinates": "31U AQ 48251 11932"}, "outside zone 31U"),
        ({"verbatim_coordinates": "31U DF 48251 11932"}, "does not lie in band U"),
        ({"verbatim_coordinates": "31U DQ 48251 11932", "verbatim_srs": "ED50"}, "older datum"),
        ({"verbatim_coordinates": "17T 630000 4833400", "verbatim_srs": "EPSG:27700"}, "no UTM grid"),
        ({"verbatim_coordinates": "17 south 630000 4833400", "verbatim_srs": "EPSG:26917"}, "hemisphere contradicts"),
        ({"verbatim_coordinates": "17T 630000 4833400" + " a b" * 20}, "longer than any coordinates"),
        ({"verbatim_coordinates": "MGA 55 500000 6000000", "verbatim_srs": "EPSG:28354"}, "zone contradicts"),
        ({"verbatim_coordinates": "50 10", "verbatim_srs": "EPSG:27700", "verbatim_system": "EPSG:32631"}, "two grids"),
        # one figure too many; the grid of Paris, whose degrees count from another meridian; northing before easting
        ({"verbatim_coordinates": "99999999 99999999", "verbatim_srs": "EPSG:27700"}, "no one place"),
        ({"verbatim_coordinates": "600000 200000", "verbatim_srs": "EPSG:27572"}, "no one place"),
        ({"verbatim_coordinates": "5500000 500000", "verbatim_srs": "EPSG:28355"}, "no one place"),
    ],
)
def test_cells_that_contradict_are_refused(cells: dict[str, str], words: str) -> None:
    read = read_position(**cells)
    assert (read.position, read.datum_known) == ("invalid", False)
    assert words in read.hint


def test_the_system_beside_it_says_the_hemisphere_of_a_zone_without_a_letter() -> None:
    read = read_position(verbatim_coordinates="17 630000 4833400", verbatim_srs="EPSG:26917")
    named = read_position(verbatim_coordinates="17T 630000 4833400", verbatim_srs="EPSG:26917")
    assert (read.latitude_deg, read.longitude_deg) == (named.latitude_deg, named.longitude_deg)


def test_figures_of_a_grid_in_two_columns_are_those_in_one() -> None:
    srs = "EPSG:27700"
    columns = read_position(verbatim_latitude="313177", verbatim_longitude="651409", verbatim_srs=srs)
    cell = read_position(verbatim_coordinates="651409 313177", verbatim_srs=srs)
    assert columns == cell
    assert columns.position == "point"


def test_s_is_southern_only_where_the_band_cannot_be() -> None:
    assert read_position(verbatim_coordinates="17S 630000 8000000").latitude_deg < 0
    assert read_position(verbatim_coordinates="17S 630000 3800000", verbatim_srs="EPSG:32617").latitude_deg > 0
    assert read_position(verbatim_coordinates="17S 630000 3800000", verbatim_srs="EPSG:32717").latitude_deg < 0
    assert read_position(verbatim_coordinates="17T 630000 4833400", verbatim_srs="EPSG:32618").position == "invalid"


def test_columns_that_name_different_places_are_refused() -> None:
    both = {"verbatim_latitude": "33 18 N", "verbatim_longitude": "44 24 E"}
    assert read_position(verbatim_coordinates="33.3N 44.4E", **both).position == "point"
    assert read_position(verbatim_coordinates="35.3N 44.4E", **both).position == "invalid"


@pytest.mark.parametrize(
    ("system", "text", "position"),
    [("degrees minutes seconds", "33.3N 44.4E", "invalid"), ("decimal degrees", "33 18N 44 24E", "invalid"),
     ("degrees decimal minutes", "33 18N 44 24E", "point"), ("UTM", "33.3N 44.4E", "invalid"),
     ("UTM", "17T 630000 4833400", "point"), ("MGRS", "17T 630000 4833400", "invalid")],
)  # fmt: skip
def test_a_system_that_contradicts_is_refused(system: str, text: str, position: str) -> None:
    assert read_position(verbatim_coordinates=text, verbatim_system=system).position == position


def test_british_letters_contradict_another_system() -> None:
    assert read_position(verbatim_coordinates="TG 51409 13177", verbatim_srs="WGS84").position == "invalid"
    assert read_position(verbatim_coordinates="TG 51409 13177", verbatim_srs="OSGB36").datum_known


def test_letters_and_figures_of_the_british_grid_agree() -> None:
    # Ordnance Survey guide: TG 51409 13177 is E 651409 N 313177; the point is the centre of its square metre
    letters = read_position(verbatim_coordinates="TG 51409 13177")
    assert read_position(verbatim_coordinates="TG5140913177") == letters
    figures = read_position(verbatim_coordinates="651409.5 313177.5", verbatim_srs="EPSG:27700")
    assert letters.latitude_deg == pytest.approx(figures.latitude_deg, abs=1e-9)
    assert letters.longitude_deg == pytest.approx(figures.longitude_deg, abs=1e-9)
    assert letters.precision_radius_m == pytest.approx(math.sqrt(0.5))


def test_zeros_at_the_end_of_both_figures_are_not_measured() -> None:
    # 100 m on each axis, a full cell: 100 times the root of two
    assert read_position(verbatim_coordinates="17T 630000 4833400").precision_radius_m == pytest.approx(
        141.42, abs=0.01
    )
    assert read_position(verbatim_coordinates="17T 630001 4833400").precision_radius_m == pytest.approx(1.41, abs=0.01)


@pytest.mark.parametrize(("text", "radius_m"), [("30", 30), (" 71.5 ", 71.5), ("+5", 5), ("0.5", 0.5)])
def test_radii(text: str, radius_m: float) -> None:
    assert read_radius_m(text) == radius_m


@pytest.mark.parametrize("text", ["", "unknown", "1,5", "30 m", "1e", "nan", "inf", "0.0", "-30", "1.000.000", "٣"])
def test_radii_that_are_unknown(text: str) -> None:
    assert math.isnan(read_radius_m(text))


# RFC 7946 and well-known text: the Darwin Core example and its spoilt versions.
BOX = "POLYGON ((10 20, 11 20, 11 21, 10 21, 10 20))"


@pytest.mark.parametrize(
    ("wkt", "words"),
    [
        ("POINT (10 20)", "polygon"),
        ("GEOMETRYCOLLECTION (POLYGON ((10 20, 11 20, 11 21, 10 20)))", "polygon"),
        ("SRID=4326;" + BOX, "polygon"),
        ("POLYGON ((10 20, 11 20, 11 21, 10 21))", "not closed"),
        ("POLYGON ((10 20, 11 21, 11 20, 10 21, 10 20))", "crosses itself"),
        ("POLYGON ((-170 1, 170 1, 170 2, -170 2, -170 1))", "180 degrees"),
        ("LINESTRING (-170 1, 170 1)", "180 degrees"),
        ("POLYGON ((180 1, 181 1, 181 2, 180 2, 180 1))", "beyond"),
        ("POLYGON ((10 89, 11 89, 11 91, 10 91, 10 89))", "beyond"),
        ("POLYGON EMPTY", "empty"),
        ("MULTIPOLYGON (EMPTY, ((10 20, 11 20, 11 21, 10 20)))", "a part of the footprint is empty"),
        ("POLYGON ((10 20, 11 20", "well-known text"),
        ("a field", "polygon"),
    ],
)
def test_footprints_that_are_refused(wkt: str, words: str) -> None:
    read = read_footprint(wkt, "EPSG:4326")
    assert (read.geometry, read.datum_known) == (None, False)
    assert words in read.hint


def test_not_a_number_in_a_footprint() -> None:
    assert read_footprint("POLYGON ((nan 20, 11 20, 11 21, 10 21, nan 20))", "WGS84").geometry is None


def test_the_darwin_core_footprint() -> None:
    read = read_footprint(BOX, "EPSG:4326")
    assert read.geometry is not None
    assert (read.geometry.bounds, read.datum_known) == ((10, 20, 11, 21), True)


def test_heights_are_dropped() -> None:
    read = read_footprint("POLYGON Z ((10 20 5, 11 20 5, 11 21 5, 10 21 5, 10 20 5))", "WGS84")
    assert read.geometry is not None and not read.geometry.has_z


def test_a_blank_footprint_is_no_footprint_and_no_error() -> None:
    read = read_footprint(" n/a ", "WGS84")
    assert (read.geometry, read.hint) == (None, "")


def test_the_datum_of_a_footprint() -> None:
    assert not read_footprint(BOX, "").datum_known
    assert read_footprint(BOX, "", fallback_datum="WGS84").datum_known
    assert not read_footprint(BOX, "a local system", fallback_datum="WGS84").datum_known
    # Darwin Core allows a WKT string for footprintSRS
    wkt = (
        'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137,298.257223563]],'
        'PRIMEM["Greenwich",0],UNIT["Degree",0.0174532925199433]]'
    )
    assert read_footprint(BOX, wkt).datum_known
    assert "grid in metres" in read_footprint(BOX, "EPSG:27700").hint


def test_a_footprint_is_shifted_as_a_point_is() -> None:
    read = read_footprint("LINESTRING (8.5 47.5, 8.6 47.6)", "ED50")
    point = read_position(decimal_latitude="47.5", decimal_longitude="8.5", datum="ED50")
    assert read.geometry is not None and read.datum_known
    assert read.geometry.coords[0] == pytest.approx((point.longitude_deg, point.latitude_deg), abs=1e-12)


def test_parts_that_overlap_are_joined() -> None:
    read = read_footprint("MULTIPOLYGON (((0 0, 2 0, 2 2, 0 2, 0 0)), ((1 1, 3 1, 3 3, 1 3, 1 1)))", "WGS84")
    assert read.geometry is not None
    assert read.geometry.area == pytest.approx(7)  # 4 + 4 - 1 square degrees


def test_many_strips_across_each_other_are_refused_soon() -> None:
    # 300 strips each way cross 90,000 times; thousands of them, in a megabyte, would take minutes to join
    along = [f"(({i / 10} 0, {i / 10 + 0.05} 0, {i / 10 + 0.05} 40, {i / 10} 40, {i / 10} 0))" for i in range(300)]
    across = [f"((0 {i / 10}, 40 {i / 10}, 40 {i / 10 + 0.05}, 0 {i / 10 + 0.05}, 0 {i / 10}))" for i in range(300)]
    read = read_footprint(f"MULTIPOLYGON ({', '.join(along + across)})", "WGS84")
    assert read.geometry is None
    assert "overlap" in read.hint


@given(st.decimals(-90, 90, places=5), st.decimals(-180, 180, places=5))
def test_decimals_on_wgs84_are_kept_as_they_are(latitude: object, longitude: object) -> None:
    read = read_position(decimal_latitude=f"{latitude:f}", decimal_longitude=f"{longitude:f}", datum="WGS84")
    if (latitude, longitude) == (0, 0):
        assert read.position == "none"
    else:
        assert (read.latitude_deg, read.longitude_deg) == (float(f"{latitude:f}"), float(f"{longitude:f}"))
