"""How long records are kept where a house has no rule of its own (``data/keeping_rules.yaml``)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from governance.jurisdictions.law_values import Value
from governance.jurisdictions.loader import read_rows


@dataclass(frozen=True, kw_only=True)
class KeepingDefault(Value):
    """years: None for ever. after: what starts the period, in words."""

    key: str
    years: int | None
    after: str


@cache
def keeping_defaults() -> Mapping[str, KeepingDefault]:
    """By sort of record: abs, title, other, person."""
    return MappingProxyType({
        row["key"]: KeepingDefault(
            key=row["key"], years=None if row["years"] == "for-ever" else int(row["years"]), after=row["after"],
            source=row["source"], checked_on=row["checked_on"], basis=row["basis"],
        )
        for row in read_rows("keeping_rules.yaml", "keeping")
    })  # fmt: skip
