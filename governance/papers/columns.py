"""From the object of the exchange file to the columns of the register. The way back is ``queries.exchange_objects``.

The objects were read and checked before (``exchange.papers_from_value``); here they are only laid out.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from django.db import models

from governance.engine.tables import Layer
from governance.papers.models import (
    Condition,
    Paper,
    PaperStatus,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.papers.statuses import ENDS
from governance.papers.terms_of_use import KEY
from governance.papers.use_columns import UseColumns, use_columns

Columns = dict[str, Any]
"""Values of a row by column; days are dates, texts are trimmed."""

Object = Mapping[str, Any]
"""An object of the exchange file."""

TERMS: Final[tuple[type[models.Model], ...]] = (
    VersionPlace, VersionTaxon, VersionWord, VersionPerson, VersionSeason, VersionCap, Condition,
)  # fmt: skip
"""Tables of the lines of a version."""

WORD_SUBJECTS: Final = tuple(VersionWord.Subject.values)


@dataclass(frozen=True)
class VersionColumns:
    """A version with its lines, by table, each in the order of the paper. uses: None where nothing is told of them."""

    own: Columns
    terms: Mapping[type[models.Model], Sequence[Columns]] = field(default_factory=dict)
    uses: UseColumns | None = None


def paper_columns(value: Object) -> Columns:
    """The face of a paper."""
    return {
        "reference": _text(value, "reference"),
        "second_number": _text(value, "second_number"),
        "kind": value["kind"],
        "layers": Paper.layers_of(Layer.from_code(code) for code in value["layers"]),
        "issuer": _text(value, "issuer"),
        "jurisdiction": _text(value, "jurisdiction"),
        "holder": _text(value, "holder"),
        "issued_on": _day(value.get("issued_on")),
        "language": _text(value, "language"),
        "remarks": _text(value, "remarks"),
    }


def status_columns(value: Object) -> list[Columns]:
    """The turns of its life in their order: those told in words, and those that only the short keys know."""
    turns = [
        _turn(turn["state"], turn["from"], turn.get("to"), _text(turn, "note")) for turn in _list(value, "statuses")
    ]
    states = {turn["state"] for turn in turns}
    State = PaperStatus.State
    if State.SUSPENDED not in states:
        turns += [_turn(State.SUSPENDED, first, last) for first, last in _list(value, "suspensions")]
    if value.get("revoked_on") and states.isdisjoint(ENDS):
        turns.append(_turn(State.REVOKED, value["revoked_on"]))
    return sorted(turns, key=lambda turn: turn["from_on"])


def _turn(state: str, first: str, last: str | None = None, note: str = "") -> Columns:
    return {"state": str(state), "from_on": _day(first), "to_on": _day(last), "note": note}


def version_columns(value: Object) -> list[VersionColumns]:
    """The versions with their lines."""
    return [_version(version) for version in _list(value, "versions")]


def _version(value: Object) -> VersionColumns:
    people = value.get("people") or {}
    own = {
        "in_force_from": _day(value.get("in_force_from")),
        "in_force_to": _day(value.get("in_force_to")),
        "assistants": people.get("assistants") or "",
        "note": _text(value, "note"),
    }
    terms: dict[type[models.Model], list[Columns]] = {
        VersionPlace: [_place(x) | {"excluded": e} for e, x in _both(value.get("places"))],
        VersionTaxon: [_taxon(x) | {"excluded": e} for e, x in _both(value.get("taxa")) if x != "*"],
        VersionWord: [
            {"subject": subject, "excluded": e, "word": x.strip()}
            for subject in WORD_SUBJECTS
            for e, x in _both(value.get(subject))
        ],
        VersionPerson: [{"name": name.strip()} for name in _list(people, "named")],
        VersionSeason: [_season(*season) for season in _list(value, "closed_seasons")],
        VersionCap: [_cap(cap) for cap in _list(value, "caps")],
        Condition: [_condition(condition) for condition in _list(value, "conditions")],
    }
    told = value.get(KEY)
    return VersionColumns(
        own, {t: [row | {"position": n} for n, row in enumerate(rows)] for t, rows in terms.items()},
        uses=None if told is None else use_columns(told),
    )  # fmt: skip


def _both(value: Object | None) -> Iterator[tuple[bool, Any]]:
    """What is included, then what is excluded."""
    for key, excluded in (("include", False), ("exclude", True)):
        for item in _list(value or {}, key):
            yield excluded, item


def _place(value: Object) -> Columns:
    longitude, latitude = value.get("point") or (None, None)
    return {
        "country": _text(value, "country"),
        "subdivision": _text(value, "subdivision"),
        "site": _text(value, "site"),
        "geojson": json.dumps(value["geojson"], separators=(",", ":")) if value.get("geojson") else "",
        "longitude_deg": _float(longitude),
        "latitude_deg": _float(latitude),
        "radius_m": _float(value.get("radius_m")),
        "boundary_error_m": _float(value.get("boundary_error_m")),
    }


def _taxon(value: Any) -> Columns:
    if isinstance(value, Mapping):
        return {"name": _text(value, "name"), "kingdom": _text(value, "kingdom")}
    return {"name": value.strip(), "kingdom": ""}


def _season(first: str, last: str) -> Columns:
    return {
        "from_month": int(first[:2]), "from_day": int(first[3:]), "to_month": int(last[:2]), "to_day": int(last[3:]),
    }  # fmt: skip


def _cap(value: Object) -> Columns:
    taxon = _taxon(value.get("taxon") or "")
    return {
        "taxon": "" if taxon["name"] == "*" else taxon["name"],
        "kingdom": taxon["kingdom"],
        "each": value.get("each") or VersionCap.Each.TOGETHER.value,
        "per": value.get("per") or VersionCap.Per.PAPER.value,
        "limit": int(value["limit"]),
    }


def _condition(value: Object) -> Columns:
    notice = value.get("notice_days")
    return {
        "text": _text(value, "text"), "page": value.get("page"), "report_by": _text(value, "report_by"),
        "notice_days": None if notice is None else int(notice),
    }  # fmt: skip


def _list(value: Object, key: str) -> Sequence[Any]:
    return value.get(key) or ()


def _text(value: Object, key: str) -> str:
    return (value.get(key) or "").strip()


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _float(number: float | None) -> float | None:
    return None if number is None else float(number)
