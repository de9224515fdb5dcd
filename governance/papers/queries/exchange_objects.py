"""Papers of the register as objects of the exchange file (VERDICTS, section 8, and the keys that this project adds)."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Final

from django.db.models import prefetch_related_objects

from governance.papers.models import (
    Condition,
    Paper,
    PaperStatus,
    PaperVersion,
    VersionCap,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
)
from governance.papers.queries.links import names_of_links
from governance.papers.statuses import ENDS
from governance.papers.terms_of_use import KEY
from governance.papers.use_columns import terms_value

LINES: Final = (
    "statuses", "versions", "versions__versionplaces", "versions__versiontaxons", "versions__versionwords",
    "versions__versionpersons", "versions__versionseasons", "versions__versioncaps", "versions__conditions",
)  # fmt: skip
"""All that hangs on a paper but its links: one query each, however many papers."""

_MORE_OF_PAPER: Final = ("second_number", "language", "statuses", "remarks")
_MORE_OF_VERSION: Final = ("note", "conditions", KEY)
USES: Final = ("versions__terms_reading", "versions__use_terms")
"""What versions say of the use of material."""

State = PaperStatus.State


def exchange_object(
    paper: Paper, *, contract_only: bool = False, with_links: bool = True, with_uses: bool = False
) -> dict[str, Any]:
    """One paper as the object of the exchange file. Queries: ten, six for the links, two for the terms of use."""
    return exchange_objects([paper], contract_only=contract_only, with_links=with_links, with_uses=with_uses)[0]


def exchange_objects(
    papers: Iterable[Paper], *, contract_only: bool = False, with_links: bool = True, with_uses: bool = False
) -> list[dict[str, Any]]:
    """The same for many, in as many queries as for one.

    Args:
        papers: in the order wanted.
        contract_only: leave out the keys that VERDICTS section 8 does not list; older readers refuse a key that they
            do not know.
        with_links: whether ``covers`` is filled.
        with_uses: whether versions tell their terms of use. Corrections of a paper leave them out: what an object says
            nothing of stays as it is.
    """
    kept = list(papers)
    prefetch_related_objects(kept, *LINES, *(USES if with_uses else ()))
    links = names_of_links([paper.pk for paper in kept]) if with_links else {}
    objects = [_paper(paper, with_uses) | {"covers": links.get(paper.pk, {})} for paper in kept]
    if not with_links:
        for value in objects:
            del value["covers"]
    return [_of_contract(value) for value in objects] if contract_only else objects


def exchange_file(papers: Iterable[Paper], *, contract_only: bool = False) -> bytes:
    """The papers file, UTF-8. contract_only: papers that were applied for or refused are left out as well, since
    only an added key says so."""
    objects = exchange_objects(papers, contract_only=False, with_uses=not contract_only)
    if contract_only:
        objects = [_of_contract(value) for value in objects if was_given(value)]
    return (json.dumps({"papers": objects}, ensure_ascii=False, indent=1) + "\n").encode()


def stamp(value: Mapping[str, Any]) -> str:
    """A mark of what a person saw of a paper (links aside), by which a later save knows whether it is still so."""
    told = {key: item for key, item in value.items() if key != "covers"}
    return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:32]


def was_given(value: Mapping[str, Any]) -> bool:
    """Whether the paper is more than an application or a refusal."""
    from governance.papers.document import Node, Report
    from governance.papers.statuses import is_held

    return is_held(Node(value, "", Report("", None)))


def _of_contract(value: dict[str, Any]) -> dict[str, Any]:
    kept = {key: item for key, item in value.items() if key not in _MORE_OF_PAPER}
    kept["versions"] = [
        {key: item for key, item in version.items() if key not in _MORE_OF_VERSION} for version in value["versions"]
    ]
    if "covers" in value:
        kept["covers"] = {key: item for key, item in value["covers"].items() if key != "parts"}
    return kept


def _paper(paper: Paper, with_uses: bool) -> dict[str, Any]:
    turns = list(paper.statuses.all())
    ends = [turn for turn in turns if turn.state in ENDS]
    return _filled({
        "reference": paper.reference,
        "second_number": paper.second_number,
        "kind": paper.kind,
        "layers": [layer.code for layer in paper.layer_list],
        "issuer": paper.issuer,
        "jurisdiction": paper.jurisdiction,
        "holder": paper.holder,
        "issued_on": _day(paper.issued_on),
        "language": paper.language,
        "suspensions": [[_day(t.from_on), _day(t.to_on)] for t in turns if t.state == State.SUSPENDED],
        "revoked_on": _day(ends[0].from_on) if ends else None,
        "statuses": _turns(turns),
        "remarks": paper.remarks,
    }) | {"versions": [_version(v) | (_uses(v) if with_uses else {}) for v in paper.versions.all()]}  # fmt: skip


def _turns(turns: Sequence[PaperStatus]) -> list[dict[str, Any]]:
    """Only if they say more than the short keys."""
    if all(turn.state in (State.SUSPENDED, State.REVOKED) and not turn.note for turn in turns):
        return []
    return [
        _filled({"state": turn.state, "from": _day(turn.from_on), "to": _day(turn.to_on), "note": turn.note})
        for turn in turns
    ]


def _version(version: PaperVersion) -> dict[str, Any]:
    words = list(version.versionwords.all())
    people = {"named": [person.name for person in version.versionpersons.all()], "assistants": version.assistants}
    return {"in_force_from": _day(version.in_force_from), "in_force_to": _day(version.in_force_to)} | _filled({
        "places": _both((p.excluded, _place(p)) for p in version.versionplaces.all()),
        "taxa": _both((t.excluded, _taxon(t)) for t in version.versiontaxons.all()),
        "methods": _both((w.excluded, w.word) for w in words if w.subject == "methods"),
        "people": _filled(people),
        "closed_seasons": [_season(season) for season in version.versionseasons.all()],
        "sexes": _both((w.excluded, w.word) for w in words if w.subject == "sexes"),
        "life_stages": _both((w.excluded, w.word) for w in words if w.subject == "life_stages"),
        "caps": [_cap(cap) for cap in version.versioncaps.all()],
        "conditions": [_condition(condition) for condition in version.conditions.all()],
        "note": version.note,
    })  # fmt: skip


def _uses(version: PaperVersion) -> dict[str, Any]:
    reading = getattr(version, "terms_reading", None)
    return {KEY: terms_value(reading, list(version.use_terms.all()))} if reading else {}


def _both(items: Iterator[tuple[bool, Any]]) -> dict[str, list[Any]]:
    lists: dict[str, list[Any]] = {"include": [], "exclude": []}
    for excluded, item in items:
        lists["exclude" if excluded else "include"].append(item)
    return lists if lists["include"] or lists["exclude"] else {}


def _place(place: VersionPlace) -> dict[str, Any]:
    value = _filled({"country": place.country, "subdivision": place.subdivision, "site": place.site})
    if place.geojson:
        value["geojson"] = json.loads(place.geojson)
    if place.longitude_deg is not None and place.latitude_deg is not None and place.radius_m is not None:
        value["point"] = [_number(place.longitude_deg), _number(place.latitude_deg)]
        value["radius_m"] = _number(place.radius_m)
    if place.boundary_error_m is not None:
        value["boundary_error_m"] = _number(place.boundary_error_m)
    return value


def _taxon(taxon: VersionTaxon) -> str | dict[str, str]:
    return {"name": taxon.name, "kingdom": taxon.kingdom} if taxon.kingdom else taxon.name


def _season(season: VersionSeason) -> list[str]:
    return [
        f"{season.from_month:02}-{season.from_day:02}",
        f"{season.to_month:02}-{season.to_day:02}",
    ]


def _cap(cap: VersionCap) -> dict[str, Any]:
    taxon = {"name": cap.taxon, "kingdom": cap.kingdom} if cap.kingdom else cap.taxon
    return _filled({"taxon": taxon}) | {"each": cap.each, "per": cap.per, "limit": cap.limit}


def _condition(condition: Condition) -> dict[str, Any]:
    return _filled({
        "text": condition.text, "page": condition.page, "notice_days": condition.notice_days,
        "report_by": condition.report_by,
    })  # fmt: skip


def _filled(value: dict[str, Any]) -> dict[str, Any]:
    return {key: item for key, item in value.items() if item not in ("", None, [], {})}


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _number(value: float) -> float | int:
    """Whole numbers as a person writes them."""
    return int(value) if value.is_integer() else value
