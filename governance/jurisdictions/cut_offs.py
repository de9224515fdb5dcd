"""Cut-off days of legacy material: before them a law or treaty was not in force. Data only: nothing is decided here.

The days of ``data/cut_offs.yaml``, and for each country the day on which it became a Party to the Nagoya Protocol.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from governance.jurisdictions.law_values import Value
from governance.jurisdictions.loader import nagoya_states, read_rows


@dataclass(frozen=True, kw_only=True)
class CutOff(Value):
    """Before ``day`` what it speaks of was not in force. country "": everywhere. layer: its word in exchange files."""

    code: str
    country: str
    layer: str
    day: date
    what: str


@cache
def cut_offs() -> tuple[CutOff, ...]:
    """Those of the data file, by day.

    Source: of each value its own; see the file.
    """
    rows = (_cut_off(row) for row in read_rows("cut_offs.yaml", "cut_offs"))
    return tuple(sorted(rows, key=lambda cut_off: (cut_off.day, cut_off.code)))


def _cut_off(row: dict[str, Any]) -> CutOff:
    return CutOff(
        code=row["key"], country=row["country"], layer=row["layer"], day=row["day"], what=row["what"],
        source=row["source"], checked_on=row["checked_on"], basis=row["basis"],
    )  # fmt: skip


@cache
def cut_offs_of(country: str) -> tuple[CutOff, ...]:
    """Those for material of a country ("" where none is recorded), by day.

    The day of its own standing as a Party comes with the basis of that entry; a state whose day is not known has none,
    which says nothing of the state.
    """
    found = [cut_off for cut_off in cut_offs() if cut_off.country in ("", country)]
    state = nagoya_states().get(country)
    if state is not None and state.party_since is not None:
        found.append(
            CutOff(
                code=f"nagoya-party-{country}", country=country, layer="access", day=state.party_since,
                what=f"{state.name} became a Party to the Nagoya Protocol", source=state.source,
                checked_on=state.checked_on, basis=state.basis,
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda cut_off: (cut_off.day, cut_off.code)))
