"""Which columns of a table a document shows: what fits a page of A4. The workbook has all of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Shown:
    """A column of a document. keys: columns of the table that share it, a line each. width: its share.

    span: the keys are a first and a last day, and stand as one. head: in the group ``heads``; "": the name of the first
    key. small: keys after the first stand in small letters.
    """

    keys: tuple[str, ...]
    width: int
    span: bool = False
    head: str = ""


def _one(width: int, *keys: str) -> Shown:
    return Shown(keys, width)


_DAYS: Final = Shown(("first_on", "last_on"), 15, span=True, head="days")

SHOWN: Final[Mapping[str, tuple[Shown, ...]]] = {
    "papers": (_one(18, "paper"), _one(22, "kind"), _one(20, "issuer"),
               Shown(("valid_from", "valid_to"), 17, span=True, head="valid"), _one(12, "state"),
               _one(11, "specimens")),
    "material": (_one(17, "specimen", "accession"), _one(19, "taxon"), _DAYS, _one(22, "site", "locality"),
                 _one(10, "individuals"), _one(15, "now", "holder"), _one(13, "verdict")),
    "exceptions": (_one(17, "specimen", "accession"), _one(12, "layer"), _one(13, "verdict"), _one(30, "finding"),
                   _one(14, "paper"), _one(20, "decided")),
    "movements": (_one(14, "entry"), _one(13, "deed"), _one(12, "on"), _one(21, "recipient", "country"),
                  _one(11, "specimens"), _one(8, "out"), _one(12, "due_on"), _one(14, "answer")),
    "uses": (_one(14, "entry"), _one(14, "deed"), _one(12, "on"), _one(22, "title"),
             _one(19, "recipient", "country"), _one(11, "specimens"), _one(15, "answer")),
    "remedies": (_one(14, "entry"), _one(16, "paper"), _one(30, "what"), _one(12, "due_on"),
                 _one(12, "done_on"), _one(20, "done_how")),
    "sequences": (_one(15, "sequence"), _one(9, "marker"), _one(17, "specimen"), _one(20, "taxon"), _one(12, "on"),
                  _one(20, "recipient")),
    "publications": (_one(12, "on"), _one(44, "citation", "doi"), _one(11, "specimens"), _one(14, "acknowledged")),
    "deposits": (_one(12, "on"), _one(24, "depository", "country"), _one(14, "accession"), _one(11, "specimens"),
                 _one(17, "what"), _one(16, "receipt", "receipt_on")),
    "promises": (_one(15, "paper", "clause_number"), _one(24, "code"), _one(20, "what", "beneficiary"),
                 _one(11, "promised"), _one(11, "given"), _one(10, "open"), _one(9, "unit"), _one(12, "due_on"),
                 _one(12, "state")),
    "given": (Shown(("on", "until_on"), 14, span=True, head="on"), _one(25, "code"), _one(24, "what", "beneficiary"),
              _one(11, "amount"), _one(10, "unit"), _one(15, "paper"), _one(18, "evidence")),
    "losses": (_one(15, "entry"), _one(16, "deed"), _one(12, "on"), _one(18, "specimen", "accession"),
               _one(22, "taxon"), _one(12, "amount")),
    "duties": (_one(16, "paper"), _one(18, "kind"), _one(30, "what"), _one(12, "due_on"), _one(11, "state"),
               Shown(("about_from", "about_to"), 15, span=True, head="about")),
    "unknown": (_one(46, "question"), _one(22, "specimen"), _one(16, "accession"), _one(20, "paper")),
    "taken": (_one(24, "taxon"), _one(10, "taken"), _one(11, "removed"), _one(11, "released"), _one(11, "salvaged"),
              _one(9, "cap"), _DAYS, _one(18, "sites")),
    "species": (_one(26, "taxon"), _one(11, "specimens"), _one(11, "individuals"), _DAYS, _one(19, "site"),
                _one(18, "kept")),
    "fields": (_one(6, "number"), _one(34, "field", "source"), _one(34, "value"), _one(14, "state"),
               _one(14, "basis")),
    "items": (_one(6, "number"), _one(36, "field", "source"), _one(36, "value"), _one(16, "state")),
}  # fmt: skip
"""By table."""

BLANK: Final[Mapping[str, str]] = {
    "first_on": "not_known", "on": "not_known", "taxon": "unnamed", "individuals": "not_counted", "now": "not_known",
    "released": "not_told", "salvaged": "not_told", "removed": "not_told", "taken": "not_told",
    "cap": "no_cap", "value": "not_known_here", "receipt": "no_receipt", "due_on": "no_day", "given": "not_measured",
    "open": "not_measured", "promised": "not_measured", "answer": "not_told", "acknowledged": "not_told",
    "valid_from": "not_known", "decided": "not_decided", "issuer": "not_told", "done_on": "not_done",
}  # fmt: skip
"""What a blank means in a column: a word; of others a dash."""

IN_ENGLISH: Final = frozenset({"finding", "source"})
"""Columns in the words of the register, which is English."""
