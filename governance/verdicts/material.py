"""Rows of text into the engine's tables: every distinct value is read once, and the rows point at it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

import numpy as np

from accessions.intake.specimens import SpecimenTable
from accessions.values import (
    CountRead,
    DateRead,
    NameRead,
    read_count,
    read_date,
    read_event_date,
    read_footprint,
    read_name,
    read_position,
    read_radius_m,
    split_list,
    split_people,
)
from governance.engine.distinct import distinct
from governance.engine.tables import (
    NONE,
    OPEN_END,
    OPEN_START,
    RANKS,
    UNBOUNDED,
    DateReading,
    Dates,
    IntColumn,
    Material,
    Places,
    Position,
    Specimens,
    Taxa,
    fold,
)
from governance.jurisdictions import is_country, is_subdivision

Row = tuple[str, ...]
T = TypeVar("T")

DATE = ("eventDate", "verbatimEventDate", "year", "month", "day")
OTHER_DATES = ("exportedOn", "importedOn", "transferredOn")
PLACE = (
    "decimalLatitude", "decimalLongitude", "geodeticDatum", "coordinatePrecision", "coordinateUncertaintyInMeters",
    "verbatimCoordinates", "verbatimLatitude", "verbatimLongitude", "verbatimCoordinateSystem", "verbatimSRS",
    "footprintWKT", "footprintSRS", "countryCode", "stateProvince", "locationID", "siteName", "dataGeneralizations",
    "informationWithheld",
)  # fmt: skip
NAME = (
    "scientificName", "scientificNameAuthorship", "taxonRank", "kingdom", "phylum", "class", "order", "superfamily",
    "family", "subfamily", "tribe", "genus", "subgenus", "specificEpithet", "infraspecificEpithet",
    "higherClassification", "identificationQualifier", "verbatimIdentification",
)  # fmt: skip
_COUNT = ("individualCount", "countRange", "unit", "basisOfRecord", "organismQuantity")


def material_of(table: SpecimenTable) -> Material:
    """The engine's tables of a file of specimens. Blank accession numbers belong to the file's one accession."""
    rows = Rows(table.columns, table.row_count)
    (date, *others), dates = _dates(rows)
    place, place_rows = rows.distinct(PLACE)
    taxon, name_rows = rows.distinct(NAME)
    counted, count_rows = rows.distinct(_COUNT)
    counts = [read_count(*row) for row in count_rows]
    methods, method_lists = rows.lists("samplingProtocol", split_list)
    people, people_lists = rows.lists("recordedBy", split_people)
    sexes, sex_lists = rows.lists("sex", split_list)
    stages, stage_lists = rows.lists("lifeStage", split_list)
    event, events = rows.numbers("eventID")
    accession, accessions = rows.numbers("accessionNumber")
    catalog, catalog_numbers = rows.numbers("catalogNumber")
    low, high, assumed = _count_columns(counts)
    specimens = Specimens(
        date=date, exported=others[0], imported=others[1], transferred=others[2], place=place, taxon=taxon,
        methods=methods, people=people, sexes=sexes, life_stages=stages, event=event, accession=accession,
        catalog=catalog, count_low=low[counted], count_high=high[counted], count_assumed=assumed[counted],
    )  # fmt: skip
    return Material(specimens, dates, places_of(place_rows), taxa_of(name_rows), method_lists, people_lists, sex_lists,
                    stage_lists, events, accessions, catalog_numbers)  # fmt: skip


class Rows:
    """Distinct values of some columns of a table; the columns are numbered first, since numbers combine faster.

    columns: by term, each of ``count`` texts, "" where blank; a term that the table lacks is no key.
    """

    def __init__(self, columns: Mapping[str, Sequence[str]], count: int) -> None:
        self._columns = columns
        self._count = count

    def with_column(self, term: str, cells: Sequence[str]) -> Rows:
        """The same rows with one more column."""
        return Rows({**self._columns, term: cells}, self._count)

    def distinct(self, terms: Sequence[str]) -> tuple[IntColumn, list[Row]]:
        """For each row the number of its distinct values of the columns, and these, a column that is absent as ""."""
        numbered = {term: self._numbered(term) for term in terms if term in self._columns}
        if not numbered:
            return np.zeros(self._count, np.int32), [("",) * len(terms)]
        example, column = distinct([numbers for numbers, _ in numbered.values()])
        cells = {term: [texts[n] for n in numbers[example].tolist()] for term, (numbers, texts) in numbered.items()}
        blank = [""] * len(example)
        return column, list(zip(*(cells.get(term, blank) for term in terms), strict=True))

    def _numbered(self, term: str) -> tuple[IntColumn, list[str]]:
        """A column as numbers of its distinct texts, and these."""
        cells = self._columns[term]
        number_of = {text: number for number, text in enumerate(dict.fromkeys(cells))}
        return np.fromiter(map(number_of.__getitem__, cells), np.int32, self._count), list(number_of)

    def lists(self, term: str, split: Callable[[str], tuple[str, ...]]) -> tuple[IntColumn, list[Row]]:
        column, rows = self.distinct((term,))
        return column, [split(text) for (text,) in rows]

    def numbers(self, term: str) -> tuple[IntColumn, list[str]]:
        """Numbers of accessions, events, specimens: matched exactly, blank as ``NONE``."""
        column, rows = self.distinct((term,))
        texts = [text for (text,) in rows]
        if "" in texts:
            blank = texts.index("")
            column = np.where(column == blank, NONE, column - (column > blank)).astype(np.int32)
            texts.pop(blank)
        return column, texts


def _dates(rows: Rows) -> tuple[list[IntColumn], Dates]:
    """The collecting date and the three others, as rows of one table."""
    table = DateTable()
    columns = [table.add_collected(rows), *(table.add(rows, term) for term in OTHER_DATES)]
    return columns, table.dates()


class DateTable:
    """Distinct dates of several columns, one after the other in one table."""

    def __init__(self) -> None:
        self._reads: list[DateRead] = []
        self._texts: list[str] = []

    def add_collected(self, rows: Rows) -> IntColumn:
        """The collecting date, read from the columns of ``DATE``; returns the row of the table for each row."""
        column, written = rows.distinct(DATE)
        texts = [row[0] or "-".join(part for part in row[2:] if part) for row in written]
        return self._take(column, [read_date(*row) for row in written], texts)

    def add(self, rows: Rows, term: str) -> IntColumn:
        """Another date, in one column."""
        column, written = rows.distinct((term,))
        texts = [text for (text,) in written]
        return self._take(column, [read_event_date(text) for text in texts], texts)

    def _take(self, column: IntColumn, reads: list[DateRead], texts: list[str]) -> IntColumn:
        first = len(self._reads)
        self._reads += reads
        self._texts += texts
        return (column + first).astype(np.int32)

    def dates(self) -> Dates:
        return _date_table(self._reads, self._texts)


def _date_table(reads: Sequence[DateRead], texts: Sequence[str]) -> Dates:
    return Dates(
        earliest=np.array([OPEN_START if r.earliest_day is None else r.earliest_day for r in reads], np.int32),
        latest=np.array([OPEN_END if r.latest_day is None else r.latest_day for r in reads], np.int32),
        reading=np.array([DateReading[r.reading.upper()] for r in reads], np.uint8),
        qualified=np.array([r.qualified for r in reads], bool),
        text=texts,
        hint=[r.hint for r in reads],
    )


def places_of(rows: Sequence[Row], registered: Sequence[tuple[str, ...]] | None = None) -> Places:
    """Place statements, the columns of ``PLACE`` each. registered: further site keys of each, folded."""
    reads = [_read_place(dict(zip(PLACE, row, strict=True))) for row in rows]
    sites = [r["sites"] for r in reads]
    if registered is not None:
        sites = [tuple(dict.fromkeys((*own, *keys))) for own, keys in zip(sites, registered, strict=True)]

    def column(name: str, kind: type) -> np.ndarray:
        return np.array([r[name] for r in reads], kind)

    return Places(
        longitude_deg=column("longitude_deg", np.float64),
        latitude_deg=column("latitude_deg", np.float64),
        position=column("position", np.uint8),
        radius_m=column("radius_m", np.float64),
        precision_radius_m=column("precision_radius_m", np.float64),
        datum_known=column("datum_known", bool),
        generalized=column("generalized", bool),
        country=[r["country"] for r in reads],
        subdivision=[r["subdivision"] for r in reads],
        sites=sites,
        footprint=[r["footprint"] for r in reads],
        text=[r["text"] for r in reads],
    )


def _read_place(cell: dict[str, str]) -> dict:  # type: ignore[type-arg]
    """One place statement as one row of ``Places``."""
    point = read_position(
        decimal_latitude=cell["decimalLatitude"],
        decimal_longitude=cell["decimalLongitude"],
        datum=cell["geodeticDatum"],
        coordinate_precision=cell["coordinatePrecision"],
        verbatim_coordinates=cell["verbatimCoordinates"],
        verbatim_latitude=cell["verbatimLatitude"],
        verbatim_longitude=cell["verbatimLongitude"],
        verbatim_system=cell["verbatimCoordinateSystem"],
        verbatim_srs=cell["verbatimSRS"],
    )
    position, datum_known, shape = Position[point.position.upper()], point.datum_known, None
    if cell["footprintWKT"]:
        footprint = read_footprint(cell["footprintWKT"], cell["footprintSRS"], fallback_datum=cell["geodeticDatum"])
        if footprint.geometry is not None:
            position, datum_known, shape = Position.FOOTPRINT, footprint.datum_known, footprint.geometry
        elif position == Position.NONE:
            position = Position.INVALID
    country = cell["countryCode"].upper()
    country = country if is_country(country) else ""
    return {
        "longitude_deg": point.longitude_deg,
        "latitude_deg": point.latitude_deg,
        "position": position,
        "radius_m": read_radius_m(cell["coordinateUncertaintyInMeters"]),
        "precision_radius_m": point.precision_radius_m,
        "datum_known": datum_known,
        "generalized": bool(cell["dataGeneralizations"] or cell["informationWithheld"]),
        "country": country,
        "subdivision": _subdivision(cell["stateProvince"], cell["countryCode"].upper()),
        "sites": tuple(dict.fromkeys(fold(cell[term]) for term in ("locationID", "siteName") if cell[term])),
        "footprint": shape,
        "text": _coordinates_text(cell),
    }


def _subdivision(text: str, country: str) -> str:
    """An ISO 3166-2 code, if the cell holds one and countryCode, as written, is blank or agrees."""
    code = text.upper()
    if "-" not in code or not is_subdivision(code):
        return ""
    return code if country in ("", code.partition("-")[0]) else ""


def _coordinates_text(cell: dict[str, str]) -> str:
    pairs = (("decimalLatitude", "decimalLongitude"), ("verbatimLatitude", "verbatimLongitude"))
    for pair in pairs:
        if any(cell[term] for term in pair):
            return ", ".join(cell[term] or "blank" for term in pair)
    return cell["verbatimCoordinates"] or cell["footprintWKT"]


def taxa_of(rows: Sequence[Row]) -> Taxa:
    """Statements of a name, the columns of ``NAME`` each."""
    reads = [read_name(*row) for row in rows]
    return Taxa(
        lineage=[_lineage(read) for read in reads],
        unranked=[tuple(fold(name) for name in read.unranked) for read in reads],
        qualified=np.array([read.qualified for read in reads], bool),
        text=[row[0] or _lowest(read) for row, read in zip(rows, reads, strict=True)],
    )


def _lineage(read: NameRead) -> Row:
    return tuple(fold(read.names.get(rank, "")) for rank in RANKS)


def _lowest(read: NameRead) -> str:
    named = [read.names[rank] for rank in RANKS if rank in read.names]
    return named[-1] if named else ""


def _count_columns(counts: Iterable[CountRead]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rows = list(counts)
    return (
        np.array([r.low for r in rows], np.int64),
        np.array([UNBOUNDED if r.high is None else r.high for r in rows], np.int64),
        np.array([r.assumed for r in rows], bool),
    )
