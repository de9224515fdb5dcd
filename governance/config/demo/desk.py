"""The use desk of the demo: terms that were read, rules of the house, requests and what was made of the material."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import yaml

from accessions.material.models import Specimen
from accessions.people.models import User
from governance.engine.tables import Layer
from governance.engine.uses import NOT_HEARD, Answer, RecipientKind, Use
from governance.papers.actions.terms import save_terms
from governance.papers.models import Paper, PaperVersion
from governance.papers.terms_of_use import with_silence
from governance.usedesk.actions.asking import ask
from governance.usedesk.actions.basket import add_items
from governance.usedesk.actions.deciding import decide
from governance.usedesk.actions.listings import add_listing
from governance.usedesk.actions.making import Taken, record_use
from governance.usedesk.actions.recipients import add_recipient
from governance.usedesk.actions.requests import add_request
from governance.usedesk.actions.returning import take_back
from governance.usedesk.actions.rules import add_silence_rule, set_footing_rule, set_house
from governance.usedesk.actions.sequences import add_sequences
from governance.usedesk.actions.way import decide_way
from governance.usedesk.models import Recipient, UseRequest
from governance.usedesk.queries.answering import desk_answer

WHY: Final = "demo"
_OF_READING: Final = ("ownership", "ownership_clause", "ownership_page", "ask_whom", "reply_days", "acknowledgement")


def add_desk(path: Path) -> None:
    """All of a file, each entered by the person who did it."""
    written = yaml.safe_load(path.read_text("utf-8"))
    for reading in written["readings"]:
        _read_terms(reading)
    _set_rules(written, _person("ingrid.holmqvist"))
    registrar = _person("tomas.berglind")
    recipients = {key: _add_recipient(row, registrar) for key, row in written["recipients"].items()}
    for reference, row in written["requests"].items():
        _take_request(reference, row, recipients)
    for row in written["uses"]:
        _make_use(row, recipients)


def _person(username: str) -> User:
    return User.objects.get(username=username)


def _read_terms(row: Mapping[str, Any]) -> None:
    """The same reading of every version of some papers."""
    uses = [_term(code, told) for code, told in row["terms"].items()]
    data: dict[str, Any] = {"uses": uses, "whole_text_read": row["rest"] == "silent"}
    data |= {key: row[key] for key in _OF_READING if key in row}
    if data["whole_text_read"]:
        data = with_silence(data)
    for version in PaperVersion.objects.filter(paper__reference__in=row["paper"]):
        save_terms(version=version, data=data, by=_person(row["by"]), why=WHY)


def _term(code: str, told: Mapping[str, Any]) -> dict[str, Any]:
    term = {"use": code, **told}
    if "number" in term:
        term["clause_number"] = term.pop("number")
    return term


def _set_rules(written: Mapping[str, Any], by: User) -> None:
    set_house(values=written["house"], by=by, why=WHY)
    for use, kind, reading, reason in written["silence"]:
        values = {"use": _use(use), "paper_kind": kind, "reading": _reading(reading), "reason": reason}
        add_silence_rule(values=values, by=by, why=WHY)
    for code, outside, doubtful, reason in written["footing"]:
        values = {"if_outside": _reading(outside), "if_doubtful": _reading(doubtful), "reason": reason}
        set_footing_rule(use=Use.from_code(code), values=values, by=by, why=WHY)
    for row in written["listed"]:
        add_listing(values=dict(zip(_LISTED, row, strict=True)), by=by, why=WHY)


_LISTED: Final = ("name", "kingdom", "rank", "higher_classification", "appendix", "source", "checked_on")


def _use(code: str | None) -> int | None:
    return None if code is None else int(Use.from_code(code))


def _reading(code: str) -> int:
    return NOT_HEARD if code == "not-heard" else int(Answer[code.upper().replace("-", "_")])


def _add_recipient(row: Mapping[str, Any], by: User) -> Recipient:
    kind = RecipientKind[row["kind"].upper().replace("-", "_")]
    return add_recipient(values={**row, "kind": int(kind)}, by=by, why=WHY)


_FACE: Final = (
    "title", "asked_by", "asked_on", "answer_by", "commercial", "identification_only", "parts", "country", "starts_on",
    "ends_on", "purpose",
)  # fmt: skip


def _take_request(reference: str, row: Mapping[str, Any], recipients: Mapping[str, Recipient]) -> None:
    by = _person(row["by"])
    values = {name: row[name] for name in _FACE if name in row} | {
        "reference": reference, "recipient": recipients[row["recipient"]],
        "uses": sum(1 << Use.from_code(code) for code in row["uses"]),
    }  # fmt: skip
    request = add_request(values=values, by=by, why=WHY)
    add_items(request=request, specimens=_specimens(row["basket"]), by=by, why=WHY)
    _go_on(request, row, by)


def _go_on(request: UseRequest, row: Mapping[str, Any], by: User) -> None:
    """What was decided on the way there, asked of a provider, decided of the specimens, and lent."""
    for code, (who, reason, evidence) in row.get("way", {}).items():
        layer = Layer.from_code(code)
        decide_way(request=request, layer=layer, reason=reason, evidence=evidence, by=_person(who))
    if "question" in row:
        _ask(request, row["question"], by)
    for is_approved, key in ((True, "approve"), (False, "decline")):
        if key in row:
            _decide(request, is_approved, *row[key])
    if "loan" in row:
        _lend(request, dict(row["loan"]), by)


def _ask(request: UseRequest, row: Mapping[str, Any], by: User) -> None:
    uses = sum(1 << Use.from_code(code) for code in row["uses"])
    paper = Paper.objects.get(reference=row["paper"])
    ask(request=request, paper=paper, uses=uses, asked_of=row["asked_of"], asked_on=row["asked_on"], by=by, why=WHY)


def _decide(request: UseRequest, is_approved: bool, who: str, reason: str) -> None:
    """Group by group, as people do."""
    for group in desk_answer(request).groups:
        for part in group.parts or (group,):
            decide(request=request, ids=part.ids, is_approved=is_approved, reason=reason, by=_person(who))


def _lend(request: UseRequest, row: dict[str, Any], by: User) -> None:
    returned_on, count, note = row.pop("returned")
    ids = list(request.items.filter(decision__is_approved=True).order_by("pk").values_list("specimen", flat=True))
    if not ids:
        return
    loan = record_use(deed="loan", ids=ids, request=request, recipient=request.recipient, by=by, why=WHY, **row)
    take_back(loan, ids[: min(count, len(ids) // 2)], on=returned_on, note=note, by=by, why=WHY)


def _make_use(row: Mapping[str, Any], recipients: Mapping[str, Recipient]) -> None:
    values = dict(row)
    by, numbers, marker = _person(values.pop("by")), values.pop("sequences", ()), values.pop("marker", "")
    ids = _specimens([values.pop("take")])
    if not ids:  # the small demo is without the seasons
        return
    taken = Taken(amount=values.pop("amount", ""), left=values.pop("left", ""))
    if "recipient" in values:
        values["recipient"] = recipients[values["recipient"]]
    made = record_use(ids=ids, taken=dict.fromkeys(ids, taken) if taken.amount else None, by=by, why=WHY, **values)
    if numbers:
        told = {key: [(number, marker)] for key, number in zip(ids, numbers, strict=False)}
        add_sequences(made, told, by=by, why=WHY)


def _specimens(wanted: Iterable[Sequence[Any]]) -> list[int]:
    """So many specimens of each accession, or of a part of it, those on the firmest footing first, by number."""
    found: list[int] = []
    for accession, count, *part in wanted:
        rows = Specimen.objects.filter(accession__number=accession).order_by("standing__worst", "catalog_number")
        if part:
            rows = rows.filter(part__letter=part[0])
        found += rows.values_list("pk", flat=True)[:count]
    return found
