"""Terms of use between the exchange file and the register, both ways."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from governance.engine.uses import Ownership, RecipientKind, Said, Use
from governance.papers.models import TermsReading, UseTerm
from governance.papers.terms_of_use import OWNERSHIP_OF, RECIPIENT_OF, SAID_OF, USE_OF


@dataclass(frozen=True)
class UseColumns:
    """reading: columns of ``TermsReading``. terms: by use the columns of ``UseTerm``; what is no key is unread."""

    reading: dict[str, Any]
    terms: Mapping[Use, dict[str, Any]]


def use_columns(value: Mapping[str, Any]) -> UseColumns:
    """Columns of a value of ``terms_of_use`` that was checked."""
    reading = {
        "ownership": int(OWNERSHIP_OF[value.get("ownership") or Ownership.NOT_SAID.code]),
        "ownership_clause": _text(value, "ownership_clause"),
        "ownership_page": value.get("ownership_page"),
        "ask_whom": _text(value, "ask_whom"),
        "reply_days": value.get("reply_days"),
        "acknowledgement": _text(value, "acknowledgement"),
        "whole_text_read": bool(value.get("whole_text_read")),
        "note": _text(value, "note"),
    }
    return UseColumns(reading, {USE_OF[term["use"]]: _term(term) for term in value["uses"]})


def _term(value: Mapping[str, Any]) -> dict[str, Any]:
    kinds = {RECIPIENT_OF[code] for code in value.get("recipients") or ()}
    return {
        "said": int(SAID_OF[value["said"]]),
        "clause": _text(value, "clause"),
        "clause_number": _text(value, "clause_number"),
        "page": value.get("page"),
        "recipients": sum(1 << kind for kind in kinds),
        "only_countries": _codes(value, "only_in"),
        "not_countries": _codes(value, "not_in"),
        "non_commercial_only": bool(value.get("non_commercial_only")),
        "identification_only": bool(value.get("identification_only")),
        "most_specimens": value.get("most_specimens"),
        "amount": _text(value, "amount"),
        "parts": ", ".join(dict.fromkeys(" ".join(part.split()) for part in value.get("parts") or ())),
        "not_before": date.fromisoformat(value["not_before"]) if value.get("not_before") else None,
        "duties": _text(value, "duties"),
        "other_condition": _text(value, "other_condition"),
        "otherwise": int(SAID_OF[value.get("otherwise") or Said.NOT_ALLOWED.code]),
    }


def _text(value: Mapping[str, Any], key: str) -> str:
    return (value.get(key) or "").strip()


def _codes(value: Mapping[str, Any], key: str) -> str:
    return " ".join(sorted({code.strip() for code in value.get(key) or ()}))


def terms_value(reading: TermsReading, terms: list[UseTerm]) -> dict[str, Any]:
    """The way back: the value of ``terms_of_use``."""
    ownership = Ownership(reading.ownership)
    return _filled({
        "ownership": ownership.code if ownership else "",
        "ownership_clause": reading.ownership_clause,
        "ownership_page": reading.ownership_page,
        "ask_whom": reading.ask_whom,
        "reply_days": reading.reply_days,
        "acknowledgement": reading.acknowledgement,
        "whole_text_read": reading.whole_text_read,
        "note": reading.note,
    }) | {"uses": [_use_value(term) for term in sorted(terms, key=lambda term: term.use)]}  # fmt: skip


def _use_value(term: UseTerm) -> dict[str, Any]:
    otherwise = Said(term.otherwise)
    return {"use": Use(term.use).code, "said": Said(term.said).code} | _filled({
        "clause": term.clause,
        "clause_number": term.clause_number,
        "page": term.page,
        "recipients": [kind.code for kind in RecipientKind if term.recipients >> kind & 1],
        "only_in": term.only_countries.split(),
        "not_in": term.not_countries.split(),
        "non_commercial_only": term.non_commercial_only,
        "identification_only": term.identification_only,
        "most_specimens": term.most_specimens,
        "amount": term.amount,
        "parts": [part.strip() for part in term.parts.split(",") if part.strip()],
        "not_before": term.not_before.isoformat() if term.not_before else "",
        "duties": term.duties,
        "other_condition": term.other_condition,
        "otherwise": "" if otherwise == Said.NOT_ALLOWED else otherwise.code,
    })  # fmt: skip


def _filled(value: dict[str, Any]) -> dict[str, Any]:
    """Zero is a word (a reply in 0 days); blank, False and the empty list are none."""
    return {key: item for key, item in value.items() if item not in ("", None, []) and item is not False}
