"""The engine's tables: what goes in and what comes out, as frozen columns.

Every table is a set of equal-length columns; other tables point into it by row number (int32), so that a
value that a thousand specimens share is judged once. Days are proleptic ordinals (``datetime.date.toordinal``),
longitudes and latitudes are degrees on WGS84 (longitude first in shapes), distances are metres.
Names, methods, sites and people arrive as text that was read, not interpreted: folding and matching are rules
of the engine (VERDICTS, sections 4 to 6).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from enum import IntEnum
from typing import Any

import numpy as np
import numpy.typing as npt
from shapely.geometry.base import BaseGeometry

IntColumn = npt.NDArray[np.signedinteger[Any]]
"""Row numbers and days: int32 where a table stores them, wider where numpy counted them."""

Rows = npt.NDArray[np.signedinteger[Any]]
"""Row numbers that pick from columns, as ``np.flatnonzero`` gives them."""

LongColumn = npt.NDArray[np.int64]
"""Counts of individuals, and days that are reckoned with."""

FloatColumn = npt.NDArray[np.float64]
"""Degrees, metres and other measures; NaN is missing."""

BoolColumn = npt.NDArray[np.bool_]
"""Flags, which select rows."""

ByteColumn = npt.NDArray[np.uint8]
"""Members of a small enum, codes of findings, or bits."""

NONE = -1
"""Row number that points at nothing: a blank event, a blank accession."""

OPEN_START = np.int32(-(2**30))
"""Day number of a start that is open or not known."""

OPEN_END = np.int32(2**30)
"""Day number of an end that is open or not known. Day arithmetic on the two stays inside int32."""

UNBOUNDED = np.int64(2**40)
"""Upper bound of a count that has none ("many"). A million of them still add up inside int64."""


class EngineError(ValueError):
    """A caller's mistake: columns of unequal length, a row number outside its table, an impossible paper."""


class Layer(IntEnum):
    """The nine questions, in the order of VERDICTS section 1; the value is the column number."""

    LAND = 0
    COLLECTING = 1
    SPECIES = 2
    PROTECTED_SITE = 3
    ACCESS = 4
    EXPORT = 5
    IMPORT = 6
    CITES = 7
    TRANSFER = 8

    @property
    def code(self) -> str:
        """The word of the exchange files: ``protected-site``."""
        return self.name.lower().replace("_", "-")

    @classmethod
    def from_code(cls, code: str) -> Layer:
        """The layer of a word of the exchange files.

        Raises:
            EngineError: no layer has that word; the message lists those that are.
        """
        try:
            return cls[code.upper().replace("-", "_")]
        except KeyError:
            raise EngineError(f'"{code}" is no layer; the layers are {", ".join(x.code for x in cls)}') from None


class Verdict(IntEnum):
    """Verdict of a layer, best to worst: that of a specimen is the largest of its layers (VERDICTS, section 1)."""

    COVERED = 0
    NOT_REQUIRED = 1
    CANNOT_TELL = 2
    STRADDLES = 3
    OUTSIDE = 4
    MISSING = 5

    @property
    def code(self) -> str:
        """The word of the exchange files: ``cannot-tell``."""
        return self.name.lower().replace("_", "-")


class DateReading(IntEnum):
    """How a date could be read (VERDICTS section 3). RUN and VAGUE carry an interval; the others carry none."""

    RUN = 0
    VAGUE = 1
    MISSING = 2
    UNREADABLE = 3
    CONFLICT = 4


class Position(IntEnum):
    """What a place statement says of its position (VERDICTS section 4). 0,0 and blank are NONE."""

    NONE = 0
    INVALID = 1
    POINT = 2
    FOOTPRINT = 3


class SearchState(IntEnum):
    """State of the search for papers, shown where a layer is ``missing`` (VERDICTS section 7.2)."""

    NOT_SEARCHED = 0
    KNOWN_NOT_LOCATED = 1
    NONE_FOUND = 2

    @property
    def code(self) -> str:
        """The finding of a missing layer: ``none-found``."""
        return self.name.lower().replace("_", "-")


class Assistants(IntEnum):
    """What a paper says of people it does not name (VERDICTS section 6)."""

    NOT_ALLOWED = 0
    SUPERVISED = 1
    ALLOWED = 2


RANKS = (
    "kingdom",
    "phylum",
    "class",
    "order",
    "superfamily",
    "family",
    "subfamily",
    "tribe",
    "genus",
    "subgenus",
    "species",
    "infraspecies",
)
"""Ranks of a lineage, highest first; a lineage is one name (or blank) a rank."""


class _Columns:
    """Checks that the columns of a table are equally long."""

    def __post_init__(self) -> None:
        lengths = {f.name: len(getattr(self, f.name)) for f in fields(self)}  # type: ignore[arg-type]
        if len(set(lengths.values())) > 1:
            raise EngineError(f"{type(self).__name__}: columns differ in length: {lengths}")

    def __len__(self) -> int:
        return len(getattr(self, fields(self)[0].name))  # type: ignore[arg-type]


@dataclass(frozen=True)
class Dates(_Columns):
    """Distinct dates. One row is one written date, read.

    earliest, latest: int32 days, both counted; ``OPEN_START`` / ``OPEN_END`` where open or unknown; a qualified or
    ``Z`` date is already widened. Without meaning where reading is MISSING, UNREADABLE or CONFLICT.
    qualified: ``?``, ``~`` or ``%`` was written: such a date never gives yes.
    text: as written. hint: one clause that says why it could not be read, or what it could mean ("" if none).
    """

    earliest: IntColumn
    latest: IntColumn
    reading: ByteColumn
    qualified: BoolColumn
    text: Sequence[str]
    hint: Sequence[str]


@dataclass(frozen=True)
class Places(_Columns):
    """Distinct place statements.

    longitude_deg, latitude_deg: WGS84, NaN where position is NONE or INVALID (and where a footprint has no point).
    radius_m: stated coordinateUncertaintyInMeters, NaN where unknown (blank, zero, negative, unreadable).
    precision_radius_m: radius that the written precision implies, 0 where nothing is written.
    datum_known: the datum was stated and understood (of footprintSRS, for a footprint).
    generalized: any text in dataGeneralizations or informationWithheld.
    country: ISO 3166-1 alpha-2, upper case, "" where blank or not a code. subdivision: ISO 3166-2 code, upper case,
    only where stateProvince holds such a code and countryCode is blank or agrees; else "".
    sites: the site keys (locationID first, then siteName, folded by ``fold``), possibly none.
    footprint: shapely Polygon, MultiPolygon or LineString in longitude, latitude; None unless position is FOOTPRINT.
    text: the coordinates as written, for sentences.
    """

    longitude_deg: FloatColumn
    latitude_deg: FloatColumn
    position: ByteColumn
    radius_m: FloatColumn
    precision_radius_m: FloatColumn
    datum_known: BoolColumn
    generalized: BoolColumn
    country: Sequence[str]
    subdivision: Sequence[str]
    sites: Sequence[tuple[str, ...]]
    footprint: Sequence[BaseGeometry | None]
    text: Sequence[str]


@dataclass(frozen=True)
class Taxa(_Columns):
    """Distinct statements of a name, as one row of the file makes them.

    lineage: one name a rank of ``RANKS`` ("" where blank), canonical (no authorship, no qualifier), folded by ``fold``;
    a species is the binomial, an infraspecies the trinomial. The lowest name of a qualified statement is dropped.
    unranked: other names of the path whose rank is not known (from higherClassification, or a uninomial of no known
    rank), highest first, folded.
    qualified: a name was dropped for a qualifier. text: the name as written, for sentences.
    """

    lineage: Sequence[tuple[str, ...]]
    unranked: Sequence[tuple[str, ...]]
    qualified: BoolColumn
    text: Sequence[str]


@dataclass(frozen=True)
class Specimens(_Columns):
    """One row a specimen or lot. All but the counts are int32 row numbers into the tables of ``Material``.

    date, exported, imported, transferred: into ``Material.dates``. place, taxon: into their tables.
    methods, people, sexes, life_stages: into the list tables (a blank cell is the empty tuple).
    event, accession, catalog: into their texts, ``NONE`` where blank.
    count_low, count_high: int64 individuals, ``UNBOUNDED`` where there is no bound. count_assumed: the count was blank.
    """

    date: IntColumn
    exported: IntColumn
    imported: IntColumn
    transferred: IntColumn
    place: IntColumn
    taxon: IntColumn
    methods: IntColumn
    people: IntColumn
    sexes: IntColumn
    life_stages: IntColumn
    event: IntColumn
    accession: IntColumn
    catalog: IntColumn
    count_low: LongColumn
    count_high: LongColumn
    count_assumed: BoolColumn


@dataclass(frozen=True)
class Material:
    """Everything that is judged: the specimens and the distinct values they point at."""

    specimens: Specimens
    dates: Dates
    places: Places
    taxa: Taxa
    methods: Sequence[tuple[str, ...]]
    people: Sequence[tuple[str, ...]]
    sexes: Sequence[tuple[str, ...]]
    life_stages: Sequence[tuple[str, ...]]
    events: Sequence[str]
    accessions: Sequence[str]
    catalog_numbers: Sequence[str]

    def __post_init__(self) -> None:
        s = self.specimens
        tables: Mapping[str, Any] = {
            "date": self.dates, "exported": self.dates, "imported": self.dates, "transferred": self.dates,
            "place": self.places, "taxon": self.taxa, "methods": self.methods, "people": self.people,
            "sexes": self.sexes, "life_stages": self.life_stages, "event": self.events,
            "accession": self.accessions, "catalog": self.catalog_numbers,
        }  # fmt: skip
        for name, table in tables.items():
            column = getattr(s, name)
            lowest = NONE if name in ("event", "accession", "catalog") else 0
            if len(column) and (column.min() < lowest or column.max() >= len(table)):
                raise EngineError(f"Specimens.{name} points outside its table of {len(table)} rows")


@dataclass(frozen=True)
class ListedTaxon:
    """A name on a paper. name: canonical, folded; kingdom: folded, "" if the paper does not say; text: as written."""

    name: str
    kingdom: str = ""
    text: str = ""


@dataclass(frozen=True)
class PlaceItem:
    """One place on a paper: one of country, subdivision, site, shape or disc; a site may carry a shape or a disc.

    shape: Polygon or MultiPolygon, straight edges in longitude and latitude (RFC 7946). disc: (longitude_deg,
    latitude_deg, radius_m). site: folded. boundary_error_m: None where the paper does not say.
    """

    country: str = ""
    subdivision: str = ""
    site: str = ""
    shape: BaseGeometry | None = None
    disc: tuple[float, float, float] | None = None
    boundary_error_m: float | None = None
    text: str = ""


@dataclass(frozen=True)
class Words:
    """Words allowed and not allowed (methods, sexes, life stages), folded by ``fold``. Both empty: no limit."""

    include: frozenset[str] = frozenset()
    exclude: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Cap:
    """A limit on individuals. taxon None: all taxa. each_species False: together. per: paper, year, site or event."""

    limit: int
    taxon: ListedTaxon | None = None
    each_species: bool = False
    per: str = "paper"


MonthDay = tuple[int, int]
"""Month and day, both from 1 on."""


@dataclass(frozen=True)
class Version:
    """One dated version of a paper. from_day None: start unknown; to_day None: open. Empty tuples set no limit."""

    from_day: int | None
    to_day: int | None = None
    include_places: tuple[PlaceItem, ...] = ()
    exclude_places: tuple[PlaceItem, ...] = ()
    include_taxa: tuple[ListedTaxon, ...] = ()
    exclude_taxa: tuple[ListedTaxon, ...] = ()
    methods: Words = Words()
    sexes: Words = Words()
    life_stages: Words = Words()
    people: tuple[str, ...] = ()
    assistants: Assistants = Assistants.NOT_ALLOWED
    closed_seasons: tuple[tuple[MonthDay, MonthDay], ...] = ()
    caps: tuple[Cap, ...] = ()


@dataclass(frozen=True)
class Covers:
    """What a paper is linked to. all_accessions: ``"*"``. Accessions, events and specimens as written; sites folded."""

    all_accessions: bool = False
    accessions: frozenset[str] = frozenset()
    sites: frozenset[str] = frozenset()
    events: frozenset[str] = frozenset()
    specimens: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Paper:
    """One legal document. versions may be empty (an unread paper); their order does not matter, their starts differ.

    suspensions: closed intervals of days, an end of None is open. revoked_day: first day on which it no longer
    holds, be it revoked, a consent withdrawn, or the paper surrendered.
    """

    reference: str
    kind: str
    layers: frozenset[Layer]
    jurisdiction: str = ""
    holder: str = ""
    versions: tuple[Version, ...] = ()
    suspensions: tuple[tuple[int, int | None], ...] = ()
    revoked_day: int | None = None
    covers: Covers = Covers()


@dataclass(frozen=True)
class Outlines:
    """Outlines of countries and first-level subdivisions by ISO code, with the error of their boundaries.

    A code that is not a key has no outline: a paper that lists it lists an unmapped place, and a specimen that states
    it cannot contradict its coordinates. The mappings may be lazy.
    countries: the own part of a state, for what a paper includes or excludes. stated: the widest reading (with
    territories that have a code of their own), for what a specimen states; None: the same as countries.
    on_land: (longitude_deg, latitude_deg) -> in any country's outline; None: found from countries.
    """

    countries: Mapping[str, BaseGeometry] = field(default_factory=dict)
    subdivisions: Mapping[str, BaseGeometry] = field(default_factory=dict)
    boundary_error_m: float = 5000.0
    stated: Mapping[str, BaseGeometry] | None = None
    on_land: Callable[[FloatColumn, FloatColumn], BoolColumn] | None = None


@dataclass(frozen=True)
class HouseRules:
    """What is assumed where a record is silent (VERDICTS, section 4).

    assumed_radius_m: radius of a point whose radius is not known, unless its written precision implies a larger one;
    None is the rule "none" (such a point cannot be told). datum_allowance_m: added where the datum is not known.
    """

    assumed_radius_m: float | None = 1000.0
    datum_allowance_m: float = 250.0


@dataclass(frozen=True)
class Rule:
    """A dated, sourced rule: in ``country`` ("" is everywhere) the layer is, or is not, required from_day to to_day."""

    layer: Layer
    required: bool
    source: str
    country: str = ""
    from_day: int | None = None
    to_day: int | None = None


@dataclass(frozen=True)
class Requirements:
    """Which layers are judged, and the rules that say where each is required.

    rules None: every judged layer is required of every specimen (a check of files). Otherwise a layer for which no
    rule names the specimen's country (or everywhere) has no rule. A rule's own country wins over "everywhere".
    decided: pairs of a layer and an accession, as the specimens write it, of which a person decided that no paper is
    required; a decision stands above the rules.
    """

    layers: tuple[Layer, ...]
    rules: tuple[Rule, ...] | None = None
    decided: frozenset[tuple[Layer, str]] = frozenset()


def fold(text: str) -> str:
    """Case, surrounding and repeated blanks folded away: how sites, methods, sexes, stages and names are matched.

    >>> fold("  Hand   Net ")
    'hand net'
    """
    return " ".join(text.split()).casefold()


REMARKS = (
    "radius-assumed",
    "datum-assumed",
    "count-assumed",
    "by-name",
    "place-not-stated",
    "supervision-not-evidenced",
)
"""Findings on a yes, in the order in which a covered layer shows them."""

CODES: tuple[str, ...] = (
    "",
    # the requirement, the search and the paper itself
    "requirement-unknown", "no-rule", "not-searched", "known-not-located", "none-found", "paper-unread",
    # date
    "revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end", "straddles",
    "date-vague", "date-missing", "date-unreadable", "date-conflict", "start-unknown",
    # place
    "coordinates-invalid", "coordinates-generalized", "country-mismatch", "swapped", "sign", "radius-unknown",
    "place-conflict", "excluded-area", "place-missing", "outside-area", "at-sea", "area-not-mapped",
    "exclusion-edge", "area-edge",
    # taxon
    "taxon-ambiguous", "taxon-excluded", "taxon-broad", "taxon-unresolved", "taxon-not-included", "taxon-qualified",
    # method, people, sex, life stage
    "method", "method-mixed", "method-missing", "person", "person-mixed", "person-missing", "person-maybe",
    "sex", "sex-mixed", "sex-missing", "life-stage", "life-stage-mixed", "life-stage-missing",
    # numbers
    "cap-breached", "cap-possible",
    # versions that differ
    "version-vague",
    *REMARKS,
)  # fmt: skip
"""Every finding code; a stored finding holds its position here as uint8."""

NO_CODES: frozenset[str] = frozenset({
    "revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end", "straddles",
    "excluded-area", "outside-area", "taxon-excluded", "taxon-not-included", "method", "person", "sex", "life-stage",
    "cap-breached",
})  # fmt: skip
"""Findings of a test that said no; all others but the remarks say that something is not known."""

CODE: Mapping[str, int] = {code: number for number, code in enumerate(CODES)}
"""The position of each code in ``CODES``."""


@dataclass(frozen=True)
class Finding:
    """One reason. measure, against: None where the contract gives none; unit: "days", "m", "individuals" or ""."""

    code: str
    measure: float | None = None
    against: float | None = None
    unit: str = ""


@dataclass(frozen=True)
class LayerVerdict:
    """The verdict of one layer for one specimen, spelled out.

    papers: row numbers into the papers, several where they cover together; versions: per paper the start days of the
    versions that were tested (None for an unknown start). Both empty where there is no paper.
    """

    verdict: Verdict
    papers: tuple[int, ...] = ()
    versions: tuple[tuple[int | None, ...], ...] = ()
    findings: tuple[Finding, ...] = ()
