"""Country sheets of the demo. Their rules are invented, and say so: nothing here is law."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

from accessions.people.models import User
from governance.engine import Layer, Rule
from governance.verdicts.actions.sheets import add_rule, change_sheet, stamp_sheet, start_sheet
from governance.verdicts.models import CountrySheet

WHY = "demo"


def read_rules(path: Path) -> tuple[Rule, ...]:
    """The invented requirement rules, as the engine takes them."""
    return tuple(_rule(row) for row in json.loads(path.read_text(encoding="utf-8")))


def _rule(row: dict[str, Any]) -> Rule:
    layer = Layer.from_code(row["layer"])
    return Rule(layer, row["required"], row["source"], row["country"], _ordinal(row["from"]), _ordinal(row["to"]))


def _ordinal(text: str | None) -> int | None:
    return None if text is None else date.fromisoformat(text).toordinal()


def add_sheets(source: dict[str, Any], rules: Path, *, by: User) -> None:
    """A sheet for each country that the rules speak of, and one for everywhere."""
    sheets = {}
    for country, (authority, contact, remarks, checked_by, checked_on) in source["sheets"].items():
        sheet = sheets[country] = start_sheet(country, by=by, why=WHY, today=checked_on)
        words = f"{remarks} Everything on this sheet is invented for the demo; nothing here is law.".strip()
        change_sheet(sheet, by=by, why=WHY, authority=authority, contact=contact, remarks=words)
        stamp_sheet(sheet, checked_by=checked_by, checked_on=checked_on, by=by, why=WHY)
    for row in json.loads(rules.read_text(encoding="utf-8")):
        _add_rule(sheets[row["country"]], row, source["lead_days"], by=by)


def _add_rule(sheet: CountrySheet, row: dict[str, Any], lead_days: dict[str, int], *, by: User) -> None:
    first, last = (date.fromisoformat(day) if day else None for day in (row["from"], row["to"]))
    add_rule(
        sheet, by=by, why=WHY, layer=Layer.from_code(row["layer"]), required=row["required"], from_on=first,
        to_on=last, source=row["source"], lead_days=lead_days[row["layer"]] if row["required"] else None,
    )  # fmt: skip
