"""Which columns of a table a document shows: what fits a page of A4. The workbook has all of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Shown:
    """A column of a document. keys: columns of the table that share it, a line each. width: its share.

    span: the keys are a first and a last day, and stand as one. head: in the group ``heads``; "": the name of the first
    key.
    """

    keys: tuple[str, ...]
    width: int
    span: bool = False
    head: str = ""


def _one(width: int, *keys: str) -> Shown:
    return Shown(keys, width)


_DAYS: Final = Shown(("first_on", "last_on"), 14, span=True, head="days")

SHOWN: Final[Mapping[str, tuple[Shown, ...]]] = {
    "papers": (_one(17, "paper"), _one(21, "kind"), _one(20, "issuer"),
               Shown(("valid_from", "valid_to"), 17, span=True, head="valid"), _one(12, "state"),
               _one(13, "specimens")),
    "material": (_one(20, "specimen", "accession"), _one(16, "taxon"), _DAYS, _one(18, "site", "locality"),
                 _one(13, "individuals"), _one(13, "now", "holder"), _one(12, "verdict")),
    "exceptions": (_one(19, "specimen", "accession"), _one(11, "layer"), _one(13, "verdict"), _one(25, "finding"),
                   _one(16, "paper"), _one(17, "decided")),
    "movements": (_one(14, "entry"), _one(11, "deed"), _one(13, "on"), _one(16, "recipient", "country"),
                  _one(12, "specimens"), _one(8, "out"), _one(13, "due_on"), _one(14, "answer", "outside")),
    "uses": (_one(14, "entry"), _one(13, "deed"), _one(13, "on"), _one(18, "title"),
             _one(17, "recipient", "country"), _one(12, "specimens"), _one(16, "answer", "outside")),
    "remedies": (_one(14, "entry"), _one(17, "paper"), _one(28, "what"), _one(13, "due_on"), _one(13, "done_on"),
                 _one(18, "done_how")),
    "sequences": (_one(15, "sequence"), _one(10, "marker"), _one(21, "specimen"), _one(19, "taxon"), _one(13, "on"),
                  _one(17, "recipient")),
    "publications": (_one(13, "on"), _one(50, "citation", "doi"), _one(13, "specimens"), _one(15, "acknowledged")),
    "deposits": (_one(13, "on"), _one(24, "depository", "country"), _one(13, "accession"), _one(13, "specimens"),
                 _one(17, "what"), _one(19, "receipt", "receipt_on")),
    "promises": (_one(17, "paper", "clause_number"), _one(22, "code"), _one(20, "what", "beneficiary"),
                 _one(13, "promised", "unit"), _one(12, "given"), _one(12, "open"), _one(15, "state", "due_on")),
    "given": (Shown(("on", "until_on"), 14, span=True, head="on"), _one(22, "code"), _one(22, "what", "beneficiary"),
              _one(12, "amount", "unit"), _one(17, "paper"), _one(15, "evidence")),
    "losses": (_one(15, "entry"), _one(16, "deed"), _one(13, "on"), _one(20, "specimen", "accession"),
               _one(20, "taxon"), _one(12, "amount")),
    "duties": (_one(17, "paper"), _one(18, "kind"), _one(27, "what"), _one(13, "due_on"), _one(12, "state"),
               Shown(("about_from", "about_to"), 15, span=True, head="about")),
    "unknown": (_one(44, "question"), _one(22, "specimen"), _one(16, "accession"), _one(20, "paper")),
    "taken": (_one(18, "taxon"), _one(10, "taken"), _one(12, "removed"), _one(12, "released"), _one(12, "salvaged"),
              _one(13, "cap", "cap_of"), _DAYS, _one(20, "sites")),
    "species": (_one(28, "taxon"), _one(11, "specimens"), _one(11, "individuals"),
                Shown(("first_on", "last_on"), 24, span=True, head="days"), _one(26, "site")),
    "fields": (_one(6, "number"), _one(38, "field", "source"), _one(33, "value"), _one(13, "state"),
               _one(12, "basis")),
    "items": (_one(6, "number"), _one(36, "field", "source"), _one(36, "value"), _one(16, "state")),
}  # fmt: skip
"""By table."""

BLANK: Final[Mapping[str, str]] = {
    "first_on": "not_known", "on": "not_known", "taxon": "unnamed", "now": "not_known", "released": "not_told",
    "salvaged": "not_told", "removed": "not_told", "taken": "not_told", "cap": "no_cap", "receipt": "no_receipt",
    "due_on": "no_day", "answer": "not_told", "acknowledged": "not_told", "valid_from": "not_known",
    "decided": "not_decided", "issuer": "not_told", "done_on": "not_done",
}  # fmt: skip
"""What a blank means in a column: a word; of others a dash."""

REFERENCES: Final = frozenset({"paper", "specimen", "accession", "entry", "sequence"})
"""Columns of references, which are never broken where they are short enough to stand in a column."""

IN_ENGLISH: Final = frozenset({"finding", "source"})
"""Columns in the words of the register, which is English."""
