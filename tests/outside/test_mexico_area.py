"""A shapefile of others as an area: the 32 states of Mexico (libpysal, examples/mexico), with cities we know.

Coordinates of the cities: from memory, to a hundredth of a degree (about 1 km); each lies far from its state's border.
The file states each state's area in its own attributes; its outlines are generalised, so 1.5 % is allowed.
"""

from __future__ import annotations

import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from geographiclib.geodesic import Geodesic
from shapely.geometry.base import BaseGeometry

from accessions.intake.problems import FileProblems
from governance.engine import Layer, Verdict, assess
from governance.engine.tables import Paper, PlaceItem
from governance.papers.areas import read_area
from tests.factories.engine import a_material, a_paper, some_requirements

pytestmark = pytest.mark.network

WGS84_PRJ = (
    'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],'
    'UNIT["degree",0.0174532925199433]]'
)
CITIES = {
    "Jalisco": (-103.35, 20.67),  # Guadalajara
    "Nuevo Leon": (-100.31, 25.67),  # Monterrey
    "Oaxaca": (-96.72, 17.06),  # Oaxaca de Juarez
    "Chihuahua": (-106.08, 28.63),  # Chihuahua
    "Chiapas": (-93.12, 16.75),  # Tuxtla Gutierrez
    "Sonora": (-110.96, 29.07),  # Hermosillo
}
ABROAD = {"San Antonio": (-98.49, 29.42), "Guatemala City": (-90.51, 14.63), "Havana": (-82.37, 23.11)}


def _zipped(path: Path, parts: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for ending, data in parts.items():
            archive.writestr(f"mexico/mexicojoin.{ending}", data)
    return path


@pytest.fixture(scope="module")
def states(mexico_parts: dict[str, bytes], tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("mexico")
    return _zipped(folder / "mexico.zip", {**mexico_parts, "prj": WGS84_PRJ.encode()})


def test_without_a_system_it_is_refused(mexico_parts: dict[str, bytes], tmp_path: Path) -> None:
    """As published its .prj is empty: degrees would be a guess."""
    with pytest.raises(FileProblems, match=r"\.prj"):
        read_area(_zipped(tmp_path / "mexico.zip", mexico_parts))


@pytest.mark.parametrize("state", CITIES)
def test_city_lies_in_its_state_and_in_no_other(states: Path, state: str) -> None:
    area = read_area(states, state)
    inside = {name for name, place in CITIES.items() if shapely.contains_xy(area, *place)}
    assert inside == {state}


def _area_m2(shape: BaseGeometry) -> float:
    """By geographiclib, edges as geodesics."""
    total = 0.0
    for part in shapely.get_parts(shape):
        for number, ring in enumerate(shapely.get_rings(part)):
            polygon = Geodesic.WGS84.Polygon()
            for longitude, latitude in list(ring.coords)[:-1]:
                polygon.AddPoint(latitude, longitude)
            total += abs(polygon.Compute()[2]) * (-1 if number else 1)
    return total


@pytest.mark.parametrize(
    ("state", "stated_m2"),
    [("Baja California Norte", 72_527_513_755.0), ("Nayarit", 27_319_568_586.0), ("Jalisco", 79_610_082_850.0)],
)
def test_area_is_the_one_stated_in_the_file(states: Path, state: str, stated_m2: float) -> None:
    """Whole states, islands included: no ring was lost and none taken for a hole."""
    assert _area_m2(read_area(states, state)) == pytest.approx(stated_m2, rel=0.015)


def _paper(area: BaseGeometry) -> Paper:
    paper = a_paper()
    (version,) = paper.versions
    return replace(paper, versions=(replace(version, include_places=(PlaceItem(shape=area, boundary_error_m=5000),)),))


def test_paper_over_the_states_covers_their_cities(states: Path) -> None:
    """The whole file as one area of 32 states; neighbours abroad are outside."""
    places = [*CITIES.values(), *ABROAD.values()]
    material = a_material([{"place": (*place, 1000.0)} for place in places])
    assessment = assess(material, [_paper(read_area(states))], some_requirements("collecting"))
    assert assessment.layers == (Layer.COLLECTING,)
    assert assessment.verdict[:, 0].tolist() == [Verdict.COVERED] * len(CITIES) + [Verdict.OUTSIDE] * len(ABROAD)


def test_unknown_state_is_named(states: Path) -> None:
    with pytest.raises(FileProblems, match="Jalisco"):
        read_area(states, "Jallisco")
