"""The dated law and treaty data of ``data/*.yaml`` as typed, frozen values.

Files are read when first asked for and kept. Every value carries its source, the day somebody looked, and
``decides``: False where the value is from memory, or where the source does not reach the day that was asked about.
Whoever judges with a value that does not decide has to show it as a hint, never as an answer.
"""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from governance.jurisdictions.law_values import (
    Benefit,
    CertificateField,
    CitesCode,
    DiligenceField,
    ExcludedTerritory,
    NagoyaState,
    NagoyaStatus,
    Standing,
    UnknownKeyError,
)
from governance.jurisdictions.schema import DataFileError, check

T = TypeVar("T")

_DATA = Path(__file__).parent / "data"

_SECTIONS: Mapping[str, Mapping[str, frozenset[str]]] = {
    "nagoya_parties.yaml": {
        "protocol": frozenset({"day?", "days?"}),
        "states": frozenset({"alpha3", "name", "status", "party_since?", "not_party_until?", "cbd_party_since?"}),
        "territories": frozenset({"state", "not_party_until"}),
    },
    "benefit_letters.yaml": {"benefits": frozenset({"kind", "text"})},
    "cites_codes.yaml": {"codes": frozenset({"kind", "code", "text"})},
    "cites_validity.yaml": {"validity": frozenset({"months"})},
    "keeping_rules.yaml": {"keeping": frozenset({"years", "after"})},
    "cut_offs.yaml": {"cut_offs": frozenset({"country", "layer", "day", "what"})},
    "certificate_fields.yaml": {"fields": frozenset({"text", "minimum"})},
    "diligence_fields.yaml": {"fields": frozenset({"number", "text", "annex", "by", "without_certificate"})},
    "territories.yaml": {
        "territories": frozenset({"inside"}),
        "unassigned": frozenset({"claimants", "ne_codes", "box?"}),
    },
}


def nagoya_status(code: str, on_day: date) -> Standing:
    """Standing of a place under the Nagoya Protocol on the day of access.

    Args:
        code: ISO 3166-1 alpha-2 code, or EU. Territories stand for themselves: GL is not DK.
        on_day: the day of access.

    Source: Nagoya Protocol, Art. 33; the Parties as each value's source says.
    """
    start = _protocol("entry-into-force")
    if on_day < start["day"]:
        return Standing(NagoyaStatus.NOT_PARTY, None, True, start["source"], start["checked_on"])
    state = nagoya_states().get(code)
    if state is not None:
        return _state_standing(state, on_day)
    territory = excluded_territories().get(code)
    if territory is None:
        return Standing(NagoyaStatus.UNKNOWN, None, False, "no entry: nobody has looked up this code", None)
    known = on_day <= territory.not_party_until
    status = NagoyaStatus.NOT_PARTY if known else NagoyaStatus.UNKNOWN
    return Standing(status, None, known and territory.decides, territory.source, territory.checked_on)


def _state_standing(state: NagoyaState, on_day: date) -> Standing:
    status, known = _status_on(state, on_day)
    return Standing(status, state.party_since, known and state.decides, state.source, state.checked_on)


def _status_on(state: NagoyaState, on_day: date) -> tuple[NagoyaStatus, bool]:
    """Status on a day, and whether the entry (if published) says so for that day."""
    if state.party_since is not None:
        return (NagoyaStatus.PARTY if on_day >= state.party_since else NagoyaStatus.NOT_PARTY), True
    if state.not_party_until is not None:
        known = on_day <= state.not_party_until
        return (NagoyaStatus.NOT_PARTY if known else NagoyaStatus.UNKNOWN), known
    return NagoyaStatus.PARTY if state.listed == "party_unverified" else NagoyaStatus.UNKNOWN, False


def party_from_deposit(deposited_on: date) -> date:
    """First day as a Party of a state that deposits its instrument: general entry into force, or so many days later.

    Source: Nagoya Protocol, Art. 33(1) and (2).
    """
    waited = deposited_on + timedelta(days=int(_protocol("after-deposit")["days"]))
    general: date = _protocol("entry-into-force")["day"]
    return max(waited, general)


@cache
def nagoya_states() -> Mapping[str, NagoyaState]:
    """States and the EU, by ISO 3166-1 alpha-2 code (EU for the European Union)."""
    states = {}
    for row in _rows("nagoya_parties.yaml", "states"):
        states[row["key"]] = NagoyaState(
            code=row["key"],
            alpha3=row["alpha3"],
            name=row["name"],
            listed=row["status"],
            party_since=row.get("party_since"),
            not_party_until=row.get("not_party_until"),
            cbd_party_since=row.get("cbd_party_since"),
            **_stated(row),
        )
    return MappingProxyType(states)


@cache
def excluded_territories() -> Mapping[str, ExcludedTerritory]:
    """Territories that their state's instrument leaves out, by ISO 3166-1 alpha-2 code."""
    rows = _rows("nagoya_parties.yaml", "territories")
    return MappingProxyType({
        row["key"]: ExcludedTerritory(
            code=row["key"], state=row["state"], not_party_until=row["not_party_until"], **_stated(row)
        )
        for row in rows
    })  # fmt: skip


@cache
def benefits() -> Mapping[str, Benefit]:
    """Kinds of benefit by code: M-a to M-j, N-a to N-q. Source: Nagoya Protocol, Annex."""
    rows = _rows("benefit_letters.yaml", "benefits")
    return MappingProxyType({
        row["key"]: Benefit(code=row["key"], kind=row["kind"], text=row["text"], **_stated(row)) for row in rows
    })  # fmt: skip


def benefit(letter_code: str) -> Benefit:
    """The kind of benefit of one code.

    Raises:
        UnknownKeyError: no such code; a letter alone is none, since both lists have one.
    """
    return _known(benefits(), letter_code, "kind of benefit")


@cache
def cites_codes(kind: str) -> Mapping[str, CitesCode]:
    """The ``purpose`` or ``source`` codes of CITES by letter.

    Raises:
        UnknownKeyError: kind is neither.
    """
    codes: dict[str, dict[str, CitesCode]] = {}
    for row in _rows("cites_codes.yaml", "codes"):
        value = CitesCode(kind=row["kind"], code=row["code"], text=row["text"], **_stated(row))
        codes.setdefault(value.kind, {})[value.code] = value
    return MappingProxyType(_known(codes, kind, "kind of CITES code"))


def cites_last_day(document_kind: str, issued: date) -> date:
    """Last day on which a CITES document can be valid, itself included, whatever it says of its own end.

    Args:
        document_kind: export-permit, re-export-certificate, import-permit, introduction-from-the-sea-certificate or
            certificate-of-origin.
        issued: the day of issue.

    Raises:
        UnknownKeyError: no such kind of document.

    Source: 50 CFR 23.54; Regulation (EC) 865/2006 Annex I. The day arithmetic is our convention: the same day of the
    later month, or the last day of a month that has no such day.
    """
    months = {row["key"]: row["months"] for row in _rows("cites_validity.yaml", "validity")}
    years, month = divmod(issued.month - 1 + int(_known(months, document_kind, "kind of CITES document")), 12)
    year, month = issued.year + years, month + 1
    return date(year, month, min(issued.day, calendar.monthrange(year, month)[1]))


@cache
def certificate_fields() -> Mapping[str, CertificateField]:
    """Fields of an internationally recognised certificate of compliance, by name, in the order of Article 17(4)."""
    rows = _rows("certificate_fields.yaml", "fields")
    return MappingProxyType({
        row["key"]: CertificateField(code=row["key"], text=row["text"], minimum=row["minimum"], **_stated(row))
        for row in rows
    })  # fmt: skip


@cache
def diligence_fields() -> Mapping[str, DiligenceField]:
    """Fields of a due-diligence sheet, by name, in the order of the sheet.

    Source: Regulation (EU) 511/2014, Art. 4(3); Implementing Regulation (EU) 2015/1866, Annexes II and III.
    """
    rows = _rows("diligence_fields.yaml", "fields")
    return MappingProxyType({
        row["key"]: DiligenceField(
            code=row["key"], number=row["number"], text=row["text"], annex=row["annex"], by=row["by"],
            without_certificate=row["without_certificate"], **_stated(row),
        )
        for row in rows
    })  # fmt: skip


@cache
def territories_inside(code: str) -> tuple[str, ...]:
    """ISO 3166-1 codes of territories under the state of ``code`` that have a code of their own; () if none."""
    rows = _rows("territories.yaml", "territories")
    return tuple(inside for row in rows if row["key"] == code for inside in row["inside"])


@cache
def claimed_land() -> Mapping[str, tuple[str, ...]]:
    """Land that no code holds alone, by a key of ours, with the codes that a label or paper may give it.

    Entries from memory stand too: they only ever keep a code from being contradicted.
    """
    return MappingProxyType({row["key"]: tuple(row["claimants"]) for row in _rows("territories.yaml", "unassigned")})


def _known(values: Mapping[str, T], key: str, what: str) -> T:
    if key not in values:
        raise UnknownKeyError(f'"{key[:40]}" is no {what}; there are {", ".join(values)}')
    return values[key]


def _stated(row: Mapping[str, Any]) -> dict[str, Any]:
    return {field: row[field] for field in ("source", "checked_on", "basis")}


def _protocol(key: str) -> dict[str, Any]:
    return next(row for row in _rows("nagoya_parties.yaml", "protocol") if row["key"] == key)


@cache
def _document(name: str) -> dict[str, Any]:
    import yaml  # not needed by runs that ask for no law

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        document = yaml.load((_DATA / name).read_text(encoding="utf-8"), Loader=loader)
    except yaml.YAMLError as error:
        raise DataFileError(f"{name}: not YAML: {error}") from error
    check(name, document, _SECTIONS[name])
    checked: dict[str, Any] = document
    return checked


def _rows(name: str, section: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = _document(name)[section]
    return rows


def read_rows(name: str, section: str) -> list[dict[str, Any]]:
    """The checked entries of a section of a data file, for the other modules of this package."""
    return _rows(name, section)
