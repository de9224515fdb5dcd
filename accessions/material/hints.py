"""What ``accessions.values`` could not read, and why, in the language of the reader.

The package is pure: it says one clause in English, and knows no other language.
``tests/architecture/test_languages.py`` reads its source and holds every clause against this list.
"""

from __future__ import annotations

import re
from typing import Final

from django.utils.translation import gettext, gettext_noop

from accessions.people.phrases import Phrases, Word, one_of

CLAUSES: Final = (
    gettext_noop('"{strip}" is no part of a latitude or longitude'),
    gettext_noop('"{word}" is no part of a latitude or longitude'),
    gettext_noop("0,0 stands for coordinates that are missing"),
    gettext_noop("British grid letters are on OSGB36; verbatimSRS names another system"),
    gettext_noop("EPSG:{grid} is no UTM grid"),
    gettext_noop("S may be a band of the north or the southern hemisphere"),
    gettext_noop("X before a known part names a set of days, not one span"),
    gettext_noop("a colon and other marks in one angle"),
    gettext_noop("a duration alone has no place in time"),
    gettext_noop("a duration is written P1Y2M10DT2H30M"),
    gettext_noop("a duration needs a day to count from"),
    gettext_noop("a footprint is a polygon, several polygons or a line"),
    gettext_noop("a hybrid of two names: only what both share is taken"),
    gettext_noop("a latitude stands where a longitude is expected, or the reverse"),
    gettext_noop("a part of the footprint is empty"),
    gettext_noop("a point of the footprint lies beyond 180 degrees of longitude or 90 of latitude"),
    gettext_noop("a range belongs in countRange"),
    gettext_noop("a ring crosses itself or another: {is_valid_reason}"),
    gettext_noop("a ring is not closed: its last point is not its first"),
    gettext_noop("a sign and a letter, or two letters, on one angle"),
    gettext_noop("a time is written 14:07 or 14:07:30, with two digits each"),
    gettext_noop("a time needs a full date before it, such as 2023-06-12T14:07"),
    gettext_noop("a zone, an easting and a northing are expected, such as 17T 630000 4833400"),
    gettext_noop("an easting and a northing in metres are expected"),
    gettext_noop("an edge of the footprint spans more than 180 degrees of longitude; cut it at 180"),
    gettext_noop("an interval needs a start or an end"),
    gettext_noop("an open mark alone is no date"),
    gettext_noop("could be read as {offer}"),
    gettext_noop("could be {offer}; confirm it"),
    gettext_noop("day and month could be either way round"),
    gettext_noop("easting and northing of a grid reference have equally many digits"),
    gettext_noop("footprintSRS names a grid in metres; longitude and latitude are expected"),
    gettext_noop("higherClassification is too long to read"),
    gettext_noop("how far about reaches is not known; write a range such as 300-500"),
    gettext_noop("is no code of ISO 3166-1; write two letters such as CR"),
    gettext_noop("is no number of metres above zero; write a number such as 30"),
    gettext_noop("longer than any coordinates"),
    gettext_noop("longer than any count"),
    gettext_noop("longer than any date"),
    gettext_noop("military grid letters of an older datum are not read"),
    gettext_noop("minutes and seconds are below 60"),
    gettext_noop("more than two parts; a comma is no decimal point"),
    gettext_noop("more than {largest_count} individuals"),
    gettext_noop("no day of eventDate {read} fits {named}"),
    gettext_noop("no day of eventDate {read} fits {unread}, which is no number"),
    gettext_noop("no latitude and longitude could be made out"),
    gettext_noop("no latitude or longitude could be made out"),
    gettext_noop("no one place in the area of EPSG:{grid} has these figures"),
    gettext_noop("not a grid reference such as 31U DQ 48251 11932"),
    gettext_noop("not a grid reference such as TG 51409 13177"),
    gettext_noop("not a whole number"),
    gettext_noop("not a whole number or a range such as 300-500"),
    gettext_noop("only the last part of an angle can have decimals"),
    gettext_noop("the century is not written"),
    gettext_noop("the century is not written, and the order of its parts is open"),
    gettext_noop('the coordinates contradict the coordinate system "{system}"'),
    gettext_noop("the datum has no ellipsoid"),
    gettext_noop("the end of the interval is not a full date, and cannot be completed from its start"),
    gettext_noop("the figures lie outside the grid"),
    gettext_noop("the figures lie outside the grid EPSG:{grid}"),
    gettext_noop("the figures lie outside the zone"),
    gettext_noop("the footprint is empty"),
    gettext_noop("the footprint is longer than {longest_wkt} characters"),
    gettext_noop("the footprint is no well-known text such as POLYGON ((10 20, 11 20, 11 21, 10 20))"),
    gettext_noop("the genus is abbreviated and no genus column gives it"),
    gettext_noop("the grid EPSG:{grid} cannot be turned into degrees"),
    gettext_noop("the hemisphere contradicts the system beside it"),
    gettext_noop("the interval ends before it starts"),
    gettext_noop("the interval leaves the calendar"),
    gettext_noop("the name is longer than any scientific name"),
    gettext_noop("the northing does not lie in band {letter}"),
    gettext_noop("the parts can be cut into latitude and longitude in more than one way"),
    gettext_noop("the parts of the footprint do not make an area"),
    gettext_noop("the parts of the footprint overlap; join them into one outline"),
    gettext_noop("the range ends ({high}) below its start ({low})"),
    gettext_noop("the shift from EPSG:{source} to WGS84 is not known at this place"),
    gettext_noop("the square does not lie in band {band} ({bands})"),
    gettext_noop("the square lies outside zone {zone}{band}"),
    gettext_noop("the year is not written"),
    gettext_noop("the year {year} is out of range: four digits from {first_year} on are expected"),
    gettext_noop("the zone contradicts the system beside it"),
    gettext_noop("the zone has no band and no hemisphere"),
    gettext_noop("the {name} is beyond {limit} degrees"),
    gettext_noop("there is no day {day}"),
    gettext_noop("there is no day {day}: {month} has {length} days"),
    gettext_noop("there is no month {month}"),
    gettext_noop("there is no time zone {zone}"),
    gettext_noop("there is no zone {zone}"),
    gettext_noop("there is no zone {zone}{band}"),
    gettext_noop("there is no {name} {value}"),
    gettext_noop("two interval marks; an interval has one, between start and end"),
    gettext_noop("two latitudes or two longitudes"),
    gettext_noop("two qualifiers on one part of the date: write {sign} for uncertain and approximate"),
    gettext_noop("verbatimCoordinates and verbatimLatitude, verbatimLongitude name different places"),
    gettext_noop("verbatimEventDate could be read as {offer}"),
    gettext_noop("verbatimEventDate reads {label}, eventDate {read}"),
    gettext_noop("verbatimSRS and verbatimCoordinateSystem name two grids"),
    gettext_noop("which of the two is the latitude is not written; add N or S, E or W"),
    gettext_noop("zone {zone} contradicts the system beside it, which is of zone {system}"),
    gettext_noop("zone {zone} has no column {found}"),
    gettext_noop('{column} "{text}" is no decimal number such as -41.0983'),
    gettext_noop("{column} {text} is beyond {limit} degrees"),
    gettext_noop("{latitude} is blank"),
    gettext_noop("{month} stands for a season or a part of the year, which names no days"),
    gettext_noop("{unread} is no number"),
    gettext_noop("{year} has no day {day_of_year}"),
    gettext_noop("{year} has no week {week}"),
    gettext_noop("{year} is no leap year: February has 28 days"),
)

_PARTS: Final = (
    gettext_noop("year"), gettext_noop("month"), gettext_noop("day"), gettext_noop("latitude"),
    gettext_noop("longitude"), gettext_noop("hour"), gettext_noop("minute"), gettext_noop("second"),
)  # fmt: skip


def _parts_said(text: str) -> str:
    """ "year 2024, month 6" with the names of the parts in the reader's language."""
    return re.sub("year|month|day", lambda found: gettext(found[0]), text)


ALL: Final = Phrases(CLAUSES, {"name": one_of(_PARTS, or_else=".+"), "named": Word(".+", _parts_said)})


def said_hint(clause: str) -> str:
    """A clause of a reader of values, in the language of the reader of the page; as it stands if it is none."""
    return ALL.said(clause)
