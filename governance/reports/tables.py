"""The tables of reports with their columns, and the parts of each kind of report: one place for composing and writing.

Names of tables, columns, parts and codes are given by the files of words; a test holds both against each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from governance.reports.contents import Column, ColumnType, Row, TableData

_T = ColumnType


def _text(*keys: str) -> list[Column]:
    return [Column(key) for key in keys]


def _number(*keys: str) -> list[Column]:
    return [Column(key, _T.NUMBER) for key in keys]


def _day(*keys: str) -> list[Column]:
    return [Column(key, _T.DAY) for key in keys]


def _decimal(*keys: str) -> list[Column]:
    return [Column(key, _T.DECIMAL) for key in keys]


def _word(key: str, words: str) -> list[Column]:
    return [Column(key, _T.WORD, words)]


_TAXON: Final = [Column("taxon", _T.TAXON)]
_COUNTRY: Final = [Column("country", _T.COUNTRY)]

COLUMNS: Final[Mapping[str, tuple[Column, ...]]] = {
    "papers": (
        *_text("paper"), *_word("kind", "paper_kinds"), *_text("issuer"), *_day("issued_on", "valid_from", "valid_to"),
        *_word("state", "paper_states"), *_number("specimens"),
    ),
    # One row a specimen, lot or part. individuals: as many as are certain, None of what was taken from another row;
    # now, holder: where it is today; in_period: whether it was taken in the period.
    "material": (
        *_text("specimen", "accession"), *_word("kind", "specimen_kinds"), *_number("individuals"), *_TAXON,
        *_day("first_on", "last_on"), *_text("site", "locality"), *_decimal("latitude_deg", "longitude_deg"),
        *_text("taken_from"), *_word("now", "whereabouts"), *_text("holder"), *_word("verdict", "verdicts"),
        *_word("in_period", "in_period"),
    ),
    # One row a specimen and layer that is not covered: the finding in the words of the register, and what became of it.
    "exceptions": (
        *_text("specimen", "accession"), *_word("layer", "layers"), *_word("verdict", "verdicts"),
        *_text("finding", "paper", "decided"),
    ),
    "movements": (
        *_text("entry"), *_word("deed", "deeds"), *_day("on", "due_on"), *_text("recipient"), *_COUNTRY,
        *_number("specimens", "back", "out"), *_text("request"), *_word("answer", "answers"),
        *_word("outside", "yes_no"),
    ),
    "uses": (
        *_text("entry"), *_word("deed", "deeds"), *_day("on"), *_text("title", "recipient"), *_COUNTRY,
        *_number("specimens"), *_text("request"), *_word("commercial", "told"), *_word("answer", "answers"),
        *_word("outside", "yes_no"),
    ),
    # One row a specimen of each use and movement.
    "used": (
        *_text("entry"), *_word("deed", "deeds"), *_day("on"), *_text("specimen", "accession", "amount", "product"),
        *_word("used_up", "yes_no"), *_word("outside", "yes_no"),
    ),
    "remedies": (*_text("entry", "paper", "what"), *_day("due_on", "done_on"), *_text("done_how")),
    "sequences": (*_text("sequence", "marker", "specimen", "accession"), *_TAXON, *_text("entry"), *_day("on"),
                  *_text("recipient")),
    "publications": (*_text("entry"), *_day("on"), *_text("citation", "doi"), *_number("specimens"),
                     *_word("acknowledged", "told")),
    "deposits": (
        *_day("on"), *_text("depository"), *_COUNTRY, *_text("accession"), *_number("specimens"),
        *_text("what", "receipt"), *_day("receipt_on"), *_text("paper", "entry"),
    ),
    # given, open: in the unit of the promise, so far as what was given says it in that unit.
    "promises": (
        *_text("paper", "clause_number"), *_word("code", "benefits"), *_text("what", "beneficiary"),
        *_decimal("promised", "given", "open"), *_text("unit"), *_day("due_on"), *_word("state", "promise_states"),
    ),
    "given": (
        *_day("on", "until_on"), *_word("code", "benefits"), *_text("what", "beneficiary"), *_COUNTRY,
        *_decimal("amount"), *_text("unit", "paper", "evidence"),
    ),
    "losses": (
        *_text("entry"), *_word("deed", "deeds"), *_day("on"), *_text("specimen", "accession"), *_TAXON,
        *_text("amount"),
    ),
    "duties": (
        *_text("paper"), *_word("kind", "duty_kinds"), *_text("what"), *_day("due_on"), *_word("state", "duty_states"),
        *_day("about_from", "about_to", "done_on"),
    ),
    # What the register cannot tell, one row a specimen (or paper) and question that is open.
    "unknown": (*_word("question", "unknowns"), *_text("specimen", "accession", "paper")),
    # Return of a permit: numbers by taxon. removed: kept for good. released, salvaged: as people entered; None: not
    # told. cap: the limit of the permit, None without one, cap_of: what it counts. first_on, last_on: of those whose
    # day is known to the day, here and in "species".
    "taken": (
        *_TAXON, *_number("taken", "removed", "released", "salvaged", "cap"), *_word("cap_of", "limits_of"),
        *_day("first_on", "last_on"), *_text("sites"),
    ),
    "species": (*_TAXON, *_number("specimens", "individuals"), *_day("first_on", "last_on"), *_text("site", "kept")),
    # Fields of the due-diligence sheet: value None: not known here. basis: whether the field's own source was read.
    "fields": (*_number("number"), *_word("field", "diligence_fields"), *_text("value"),
               *_word("state", "answer_states"), *_text("source"), *_word("basis", "bases")),
    "items": (*_number("number"), *_word("field", "certificate_fields"), *_text("value"),
              *_word("state", "answer_states"), *_text("source"), *_word("minimum", "yes_no")),
}  # fmt: skip
"""By table; the keys of a table are unique within it."""

PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    "provider": (
        "agreement", "material", "where", "exceptions", "movements", "uses", "sequences", "publications", "deposits",
        "benefits", "losses", "changes", "duties", "unknown", "map",
    ),
    "benefits": (
        "agreement", "material", "uses", "publications", "deposits", "benefits", "people", "duties", "unknown",
    ),
    "agency": (
        "permit", "taken", "exceptions", "findings", "duplicate", "samples", "declarations", "unknown", "signature",
    ),
    "landowner": ("thanks", "species", "notable", "kept", "done", "map", "unknown"),
    "diligence": ("fields", "declaration", "unknown"),
    "certificate": ("items", "unknown"),
}  # fmt: skip
"""Parts of each kind, in their order. Those of ``ALWAYS`` cannot be left out."""

ALWAYS: Final = frozenset({"unknown", "exceptions", "fields", "items", "taken", "declarations", "species"})
"""Parts without which a report would say less than it knows: exceptions are told frankly, and what is not known."""

TEXTS: Final[Mapping[str, tuple[str, ...]]] = {
    "provider": ("introduction", "changes", "remedies", "closing"),
    "benefits": ("introduction", "people", "closing"),
    "agency": ("findings", "duplicate", "released", "salvaged", "transfer", "closing"),
    "landowner": ("thanks", "notable", "done", "closing"),
    "diligence": ("research", "grant", "recipient", "funding", "confidential", "product", "event", "closing"),
    "certificate": ("confidential", "closing"),
}  # fmt: skip
"""What people write in a report of each kind, by key. released, salvaged: lines "Taxon: number"; confidential, of a
certificate: lines "Number of the item: reason"."""


def table(key: str, rows: Iterable[Row]) -> TableData:
    """A table of a report with its rows."""
    return TableData(key, COLUMNS[key], list(rows))
