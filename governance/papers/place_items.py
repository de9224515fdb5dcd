"""Places on papers: what may stand together in one, and the shapes that they carry."""

from __future__ import annotations

from pathlib import Path, PurePosixPath
from typing import Final

from shapely.geometry.base import BaseGeometry

from accessions.intake.problems import FileProblems, Problem, shown
from governance.engine.tables import PlaceItem, fold
from governance.papers.codes import country, subdivision
from governance.papers.document import Node
from governance.papers.shapes import GeoJSONReader, is_position

_SHAPED: Final = ("geojson", "point", "file")
_NAMED: Final = ("country", "subdivision", "site")
_EXPECTED: Final = (
    "A place is exactly one of country, subdivision, site, geojson, file, or point with radius_m; "
    "only a site may carry one of geojson, file, or point with radius_m."
)


def place_items(node: Node) -> tuple[PlaceItem, ...]:
    """The places of a list; faulty ones are noted and left out."""
    return tuple(item for place in node.items() if (item := _place(place)) is not None)


def _place(node: Node) -> PlaceItem | None:
    if not isinstance(node.value, dict) or not _fits_together(node):
        return None
    site = node["site"].text()
    shape = _shape(node)
    disc = _disc(node) if "point" in node or "radius_m" in node else None
    country_code, subdivision_code = country(node["country"]), subdivision(node["subdivision"])
    return PlaceItem(
        country=country_code,
        subdivision=subdivision_code,
        site=fold(site),
        shape=shape,
        disc=disc,
        boundary_error_m=_boundary_error(node["boundary_error_m"]),
        text=site or country_code or subdivision_code or _shape_words(node, disc),
    )


def _fits_together(node: Node) -> bool:
    named = [key for key in _NAMED if key in node]
    shaped = [key for key in _SHAPED if key in node]
    if not named and not shaped and "radius_m" in node:
        shaped = ["point"]
    fits = len(named) <= 1 and len(shaped) <= 1 and (named or shaped) and (not shaped or named in ([], ["site"]))
    if not fits:
        keys = ", ".join(named + shaped) or "none of them"
        node.problem(f"the place has {keys}", _EXPECTED)
    if "name" in node and "file" not in node:
        node["name"].problem("a name stands there without a file", "name says which feature of a file is meant.")
    return bool(fits)


def _boundary_error(node: Node) -> float | None:
    error_m = node.number()
    if error_m is not None and error_m < 0:
        node.problem(f"{error_m:g} is less than 0", "An error is 0 or more metres.")
    return error_m


def _disc(node: Node) -> tuple[float, float, float] | None:
    point, radius = node["point"], node["radius_m"]
    for present, missing in ((point, radius), (radius, point)):
        if missing.value is None:
            missing.problem(
                "it is missing", f"{present.path.rsplit('.', 1)[-1]} goes with it: a point has a radius in metres."
            )
            return None
    radius_m = radius.number()
    if radius_m is None or radius_m <= 0:
        radius.problem("the radius is no number above 0", "A radius is more than 0 metres.")
    if not is_position(point.value) or len(point.value) != 2:
        point.problem("this is no point", "A point is [longitude, latitude] in degrees.")
        return None
    longitude, latitude = map(float, point.value)
    if abs(longitude) > 180 or abs(latitude) > 90:
        point.problem(
            f"{longitude:g}, {latitude:g} is not on the globe",
            "A point is [longitude, latitude]: longitude -180 to 180 comes first, latitude -90 to 90.",
        )
        return None
    return None if radius_m is None else (longitude, latitude, radius_m)


def _shape(node: Node) -> BaseGeometry | None:
    if "file" in node:
        return _shape_of_file(node)
    geojson = node["geojson"]
    if not isinstance(geojson.value, dict):
        return None
    reader = GeoJSONReader(node.report.file, _shape_where(node))
    shape = reader.read(geojson.value)
    node.report.extend(reader.problems)
    return shape


def _shape_where(node: Node) -> str:
    site = node["site"].value
    return f"{node.where}, site {shown(site)}" if isinstance(site, str) else node.where


def _shape_words(node: Node, disc: tuple[float, float, float] | None) -> str:
    if disc:
        return f"{disc[2]:g} m round {disc[0]:g}, {disc[1]:g}"
    for value in (node["name"].value, node["file"].value):
        if isinstance(value, str):
            return value
    geojson = node["geojson"].value
    properties = geojson.get("properties") if isinstance(geojson, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    number = int(node.path.rsplit("[", 1)[-1].rstrip("]")) + 1
    return name if isinstance(name, str) and name and name.isprintable() else f"mapped area {number}"


def _shape_of_file(node: Node) -> BaseGeometry | None:
    written = node["file"].text()
    path = _path_beside(written, node.report.folder)
    if path is None:
        if written:
            node["file"].problem(
                f"{shown(written)} is not a file in the folder of the papers file",
                "Give a path from there, with / between folders and without .. in it.",
            )
        return None
    from governance.papers.areas import read_area

    try:
        return read_area(path, node["name"].text() or None)
    except FileProblems as error:
        where = _shape_where(node["file"])
        told = [
            Problem(
                node.report.file, where, ", ".join(part for part in (written, p.where, p.found) if part), p.expected
            )
            for p in error.problems
        ]
        node.report.extend(told)
        return None


def _path_beside(written: str, folder: Path | None) -> Path | None:
    """The file, if it stands in the folder or below, also after links are followed."""
    if folder is None or not written or "\\" in written or "\0" in written or ":" in written or len(written) > 1000:
        return None
    relative = PurePosixPath(written)
    if relative.is_absolute() or ".." in relative.parts:
        return None
    try:
        path = (folder / relative).resolve()
        return path if path.is_relative_to(folder.resolve()) and path.is_file() else None
    except OSError:
        return None
