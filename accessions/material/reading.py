"""What is read from the written columns of a sampling event: days, a point, a radius, a country.

The engine reads the written columns itself, with the same readers; what stands here serves lists, maps and constraints.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from math import isfinite
from typing import Final

from accessions.material.models import SamplingEvent
from accessions.names.digests import digest_of
from accessions.values import DateRead, PositionRead, read_date, read_footprint, read_position, read_radius_m

EVENT_TERMS: Final[tuple[str, ...]] = tuple(SamplingEvent.COLUMN_OF_TERM)
"""The terms whose text makes a sampling event, in the order of its digest."""

READ_COLUMNS: Final = (
    "reading", "earliest_on", "latest_on", "longitude_deg", "latitude_deg", "radius_m", "country"
)  # fmt: skip


@dataclass(frozen=True)
class EventRead:
    """The read columns of an event, and clauses on what could not be read: (term, clause)."""

    reading: str
    earliest_on: date | None
    latest_on: date | None
    longitude_deg: float | None
    latitude_deg: float | None
    radius_m: float | None
    country: str
    hints: tuple[tuple[str, str], ...] = ()

    def columns(self) -> tuple[object, ...]:
        """The values of ``READ_COLUMNS``."""
        return tuple(getattr(self, column) for column in READ_COLUMNS)


def event_digest(written: Mapping[str, str]) -> str:
    """The digest of an event. written: text by term; a term that is absent counts as blank."""
    return digest_of(written.get(term, "") for term in EVENT_TERMS)


def read_event(written: Mapping[str, str]) -> EventRead:
    """Read the written columns. written: text by term; a term that is absent counts as blank."""

    def cell(term: str) -> str:
        return written.get(term, "")

    when = read_date(*map(cell, ("eventDate", "verbatimEventDate", "year", "month", "day")))
    point = _read_point(written)
    longitude, latitude, place_hint = _position(point, written)
    hints = [("eventDate", when.hint), place_hint, *_country_hint(cell("countryCode"))]
    radius = read_radius_m(cell("coordinateUncertaintyInMeters"))
    if not _is_radius(radius) and cell("coordinateUncertaintyInMeters"):
        hints.append(("coordinateUncertaintyInMeters", "is no number of metres above zero; write a number such as 30"))
    return EventRead(
        reading=when.reading,
        earliest_on=_day(when, when.earliest_day),
        latest_on=_day(when, when.latest_day),
        longitude_deg=longitude,
        latitude_deg=latitude,
        radius_m=radius if _is_radius(radius) else None,
        country=country_of(cell("countryCode")),
        hints=tuple((term, hint) for term, hint in hints if hint),
    )


def _is_radius(radius_m: float) -> bool:
    return isfinite(radius_m) and radius_m > 0


def _day(read: DateRead, ordinal: int | None) -> date | None:
    """A day as the database keeps it; None where the end is open, not known, or outside the years 1 to 9999."""
    if ordinal is None or read.reading not in ("run", "vague") or not 1 <= ordinal <= date.max.toordinal():
        return None
    return date.fromordinal(ordinal)


def _read_point(written: Mapping[str, str]) -> PositionRead:
    def cell(term: str) -> str:
        return written.get(term, "")

    return read_position(
        decimal_latitude=cell("decimalLatitude"),
        decimal_longitude=cell("decimalLongitude"),
        datum=cell("geodeticDatum"),
        coordinate_precision=cell("coordinatePrecision"),
        verbatim_coordinates=cell("verbatimCoordinates"),
        verbatim_latitude=cell("verbatimLatitude"),
        verbatim_longitude=cell("verbatimLongitude"),
        verbatim_system=cell("verbatimCoordinateSystem"),
        verbatim_srs=cell("verbatimSRS"),
    )


def _position(point: PositionRead, written: Mapping[str, str]) -> tuple[float | None, float | None, tuple[str, str]]:
    """A point for the map: the position, or a point within the footprint."""
    wkt = written.get("footprintWKT", "")
    if wkt:
        footprint = read_footprint(
            wkt, written.get("footprintSRS", ""), fallback_datum=written.get("geodeticDatum", "")
        )
        if footprint.geometry is None:
            return *_degrees(point.longitude_deg, point.latitude_deg), ("footprintWKT", footprint.hint)
        if point.position != "point":
            inside = footprint.geometry.representative_point()
            return *_degrees(inside.x, inside.y), ("", "")
    term = (
        "decimalLatitude"
        if written.get("decimalLatitude") or written.get("decimalLongitude")
        else ("verbatimCoordinates")
    )
    return *_degrees(point.longitude_deg, point.latitude_deg), (term, point.hint)


def _degrees(longitude: float, latitude: float) -> tuple[float | None, float | None]:
    if abs(longitude) <= 180 and abs(latitude) <= 90:  # false for NaN
        return longitude, latitude
    return None, None


@cache
def _country_codes() -> frozenset[str]:
    import pycountry

    return frozenset(country.alpha_2 for country in pycountry.countries)


def country_of(code: str) -> str:
    """The country of a countryCode in capitals, "" where it is none of ISO 3166-1 alpha-2."""
    upper = code.upper()
    return upper if upper in _country_codes() else ""


_NO_COUNTRY: Final = frozenset({"XZ", "ZZ"})
"""High seas; unknown or several countries. Source: Darwin Core, countryCode."""


def _country_hint(code: str) -> list[tuple[str, str]]:
    if not code or country_of(code) or code.upper() in _NO_COUNTRY:
        return []
    return [("countryCode", "is no code of ISO 3166-1; write two letters such as CR")]
