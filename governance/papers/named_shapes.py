"""A shape with the names under which its file knows it."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True)
class NamedShape:
    """shape: in longitude and latitude. names: names and identifiers. where: words for its place in the file."""

    shape: BaseGeometry
    names: tuple[str, ...] = ()
    where: str = ""
