"""Areas from files; the inputs are made in the tests, the shapes they stand for by hand."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pyproj
import pytest
import shapefile
import shapely

from accessions.intake.problems import FileProblems
from governance.papers.areas import read_area, validate_shape

SQUARE = shapely.box(0, 0, 4, 4)
RING: list[tuple[float, float]] = [(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)]
HOLE: list[tuple[float, float]] = [(1, 1), (2, 1), (2, 2), (1, 2), (1, 1)]


def _area(tmp_path: Path, data: str | bytes, name: str | None = None) -> Any:
    path = tmp_path / "area"
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return read_area(path, name)


def _refused(tmp_path: Path, data: str | bytes, name: str | None = None) -> str:
    with pytest.raises(FileProblems) as caught:
        _area(tmp_path, data, name)
    return str(caught.value)


# RFC 7946, appendix A.3 and A.6, and section 3.1.9 (a rectangle over the antimeridian, cut in two).
RFC_7946 = {
    "A.3 no holes": {
        "type": "Polygon",
        "coordinates": [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]],
    },
    "A.3 with holes": {
        "type": "Polygon",
        "coordinates": [
            [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
            [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]],
        ],
    },
    "A.6": {
        "type": "MultiPolygon",
        "coordinates": [
            [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
            [
                [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]],
            ],
        ],
    },
    "3.1.9": {
        "type": "MultiPolygon",
        "coordinates": [
            [[[180.0, 40.0], [180.0, 50.0], [170.0, 50.0], [170.0, 40.0], [180.0, 40.0]]],
            [[[-170.0, 40.0], [-170.0, 50.0], [-180.0, 50.0], [-180.0, 40.0], [-170.0, 40.0]]],
        ],
    },
}


@pytest.mark.parametrize(
    ("example", "square_degrees"), [("A.3 no holes", 1.0), ("A.3 with holes", 0.64), ("A.6", 1.64), ("3.1.9", 200.0)]
)
def test_examples_of_rfc_7946(tmp_path: Path, example: str, square_degrees: float) -> None:
    """Areas by hand: squares of 1 degree less a hole of 0.6, two rectangles of 10 by 10."""
    area = _area(tmp_path, json.dumps(RFC_7946[example]))
    assert area.area == pytest.approx(square_degrees)


def test_clockwise_outer_ring_is_taken(tmp_path: Path) -> None:
    """RFC 7946, 3.1.6: parsers should not reject polygons that do not follow the right-hand rule."""
    assert _area(tmp_path, json.dumps({"type": "Polygon", "coordinates": [RING[::-1]]})).equals(SQUARE)


def test_features_by_name(tmp_path: Path) -> None:
    features = [
        {"type": "Feature", "properties": {"Name": name}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
        for name, ring in (("North", RING), ("South", [(x, y - 10) for x, y in RING]))
    ]
    data = json.dumps({"type": "FeatureCollection", "features": features})
    assert _area(tmp_path, data).area == 32
    assert _area(tmp_path, data, "north").equals(SQUARE)
    assert '"North"' in _refused(tmp_path, data, "Nort")


def _kml(*placemarks: str) -> str:
    return f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{"".join(placemarks)}</Document></kml>'


def _placemark(name: str, ring: list[tuple[float, float]], hole: str = "") -> str:
    words = " ".join(f"{x},{y},0" for x, y in ring)
    return (
        f"<Placemark><name>{name}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>\n{words}\n</coordinates>"
        f"</LinearRing></outerBoundaryIs>{hole}</Polygon></Placemark>"
    )


def test_kml_and_kmz(tmp_path: Path) -> None:
    words = " ".join(f"{x},{y}" for x, y in HOLE)
    hole = f"<innerBoundaryIs><LinearRing><coordinates>{words}</coordinates></LinearRing></innerBoundaryIs>"
    text = _kml(_placemark("Reserve", RING, hole), _placemark("Other", [(x + 9, y) for x, y in RING]))
    assert _area(tmp_path, text, "Reserve").equals(shapely.Polygon(RING, [HOLE]))
    assert _area(tmp_path, text).area == 31
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("doc.kml", text)
    assert _area(tmp_path, packed.getvalue(), "Reserve").area == 15


def test_kml_faults(tmp_path: Path) -> None:
    assert (
        '"Reserve"' in (message := _refused(tmp_path, _kml(_placemark("Reserve", RING[:-1]))))
        and "not closed" in message
    )
    point = "<Placemark><Point><coordinates>1,2</coordinates></Point></Placemark>"
    assert "no polygon but Point" in _refused(tmp_path, _kml(point))
    assert "no position" in _refused(tmp_path, _kml(_placemark("R", RING).replace("4,0,0", "4;0", 1)))


def test_billion_laughs_in_kml(tmp_path: Path) -> None:
    laughs = '<!DOCTYPE kml [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>'
    assert "DTD" in _refused(tmp_path, laughs + _kml("&c;"))


def test_deep_markup(tmp_path: Path) -> None:
    assert "nested too deep" in _refused(tmp_path, "<kml>" + "<a>" * 1_000_000)


def _gpx(points: list[tuple[float, float]], tag: str = "trk") -> str:
    point = "trkpt" if tag == "trk" else "rtept"
    words = "".join(f'<{point} lat="{y}" lon="{x}"/>' for x, y in points)
    inner = f"<trkseg>{words}</trkseg>" if tag == "trk" else words
    return f'<gpx xmlns="http://www.topografix.com/GPX/1/1"><{tag}><name>Round</name>{inner}</{tag}></gpx>'


@pytest.mark.parametrize("tag", ["trk", "rte"])
def test_gpx(tmp_path: Path, tag: str) -> None:
    assert _area(tmp_path, _gpx(RING, tag)).equals(SQUARE)
    message = _refused(tmp_path, _gpx(RING[:-1], tag))
    assert '"Round"' in message and "not closed" in message


def test_wkt(tmp_path: Path) -> None:
    text = "POLYGON ((0 0, 4 0, 4 4, 0 4, 0 0))"
    assert _area(tmp_path, text).equals(SQUARE)
    assert _area(tmp_path, "SRID=4326;" + text).equals(SQUARE)
    assert "SRID 3857" in _refused(tmp_path, "SRID=3857;" + text)
    assert "no area" in _refused(tmp_path, "POINT (1 1)")
    assert "WKT" in _refused(tmp_path, "POLYGON ((0 0, 4 0")
    assert "nested too deep" in _refused(tmp_path, "GEOMETRYCOLLECTION (" * 1_000_000)


UTM_16N = pyproj.CRS.from_epsg(32616).to_wkt("WKT1_ESRI")


def _shapefile(rings: list[list[tuple[float, float]]], prj: str | None) -> bytes:
    parts = {kind: io.BytesIO() for kind in ("shp", "shx", "dbf")}
    with shapefile.Writer(**parts, shapeType=shapefile.POLYGON) as writer:
        writer.field("NAME", "C")
        writer.poly(rings)
        writer.record("Reserve")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for kind, data in parts.items():
            archive.writestr(f"reserve.{kind}", data.getvalue())
        if prj is not None:
            archive.writestr("reserve.prj", prj)
    return packed.getvalue()


def test_shapefile_rings_by_direction(tmp_path: Path) -> None:
    """ESRI technical description: clockwise outer rings, counter-clockwise holes; an island in a hole is outer."""
    wgs84 = pyproj.CRS.from_epsg(4326).to_wkt("WKT1_ESRI")
    island = [(1.2, 1.2), (1.2, 1.8), (1.8, 1.8), (1.8, 1.2), (1.2, 1.2)]
    area = _area(tmp_path, _shapefile([RING[::-1], [*HOLE], island], wgs84), "Reserve")
    assert area.area == pytest.approx(16 - 1 + 0.36)
    both_holes = _shapefile([[*RING], [*HOLE]], wgs84)
    assert "counter-clockwise" in _refused(tmp_path, both_holes)


def test_shapefile_is_transformed(tmp_path: Path) -> None:
    """UTM zone 16N: 500000 E, 0 N is the equator at the central meridian, 87 W (definition of UTM)."""
    ring = [(500_000.0, 0.0), (500_000.0, 50_000.0), (550_000.0, 50_000.0), (550_000.0, 0.0), (500_000.0, 0.0)]
    area = _area(tmp_path, _shapefile([ring], UTM_16N))
    west, south, _, _ = area.bounds
    assert (west, south) == (pytest.approx(-87, abs=1e-9), pytest.approx(0, abs=1e-9))
    square_m, _ = pyproj.Geod(ellps="WGS84").geometry_area_perimeter(area)
    # Scale at x metres from the central meridian: 0.9996 (1 + x^2 / 2R^2); x^2 is (50 km)^2 / 3 in the mean.
    scale = 0.9996**2 * (1 + 50_000**2 / 3 / 6_378_000**2)
    assert abs(square_m) == pytest.approx(50_000**2 / scale, rel=2e-6)


def test_shapefile_without_system(tmp_path: Path) -> None:
    ring = [[*RING[::-1]]]
    assert ".prj" in _refused(tmp_path, _shapefile(ring, None))
    assert "not understood" in _refused(tmp_path, _shapefile(ring, "no system"))


def test_damaged_shapefile(tmp_path: Path) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("a.shp", b"\0" * 50)
        archive.writestr("a.prj", UTM_16N)
    assert "damaged" in _refused(tmp_path, packed.getvalue())


def test_validate_shape() -> None:
    assert validate_shape(SQUARE, "here") == []
    (problem,) = validate_shape(shapely.Polygon([(0, 0), (4, 4), (4, 0), (0, 4), (0, 0)]), "here")
    assert "here" in str(problem) and "crosses" in str(problem)
    assert "Point" in str(validate_shape(shapely.Point(0, 0), "here")[0])
