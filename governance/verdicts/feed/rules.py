"""Requirements of the country sheets, decisions that no paper is required, and the house rules, for the engine.

With a digest for the record of a run.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import Any

from governance.engine.tables import HouseRules, Layer, Requirements, Rule
from governance.verdicts.feed.boundaries import day_number
from governance.verdicts.feed.links import accession_key
from governance.verdicts.feed.rows import select
from governance.verdicts.models import HouseRuleSet


@dataclass(frozen=True)
class House:
    """rules: for the engine. percent: how far "ca." reaches, None for the reading of the contract."""

    rules: HouseRules
    percent: int | None

    def record(self) -> dict[str, Any]:
        """As a run keeps them."""
        return {**asdict(self.rules), "approximate_count_percent": self.percent}


def house() -> House:
    """The house rules of today; the defaults of the model where nobody set them."""
    row = HouseRuleSet.objects.first() or HouseRuleSet()
    return House(HouseRules(row.assumed_radius_m, row.datum_allowance_m), row.approximate_count_percent)


def house_of(record: dict[str, Any]) -> HouseRules:
    """The house rules that a run kept."""
    return HouseRules(record["assumed_radius_m"], record["datum_allowance_m"])


def requirements() -> Requirements:
    """All layers, by the rules of the country sheets and by decisions; a country without a sheet has no rule."""
    return Requirements(tuple(Layer), sheet_rules(), _decided())


def sheet_rules() -> tuple[Rule, ...]:
    """The rules of all country sheets, in the order in which they were entered."""
    rows = select(
        "SELECT r.layer, r.required, r.source, s.country, r.from_on, r.to_on FROM verdicts_sheetrule r "
        "JOIN verdicts_countrysheet s ON s.id = r.sheet_id ORDER BY r.id"
    )
    return tuple(
        Rule(Layer(layer), bool(required), source, country, day_number(first), day_number(last))
        for layer, required, source, country, first, last in rows
    )


def _decided() -> frozenset[tuple[Layer, str]]:
    """Decisions that stand, in the keys of the engine: one for a whole accession speaks for each of its parts too."""
    found = select(
        "SELECT d.layer, d.accession_id, COALESCE(d.part_id, p.id, -1), d.part_id IS NULL "
        "FROM verdicts_layerdecision d "
        "LEFT JOIN material_part p ON d.part_id IS NULL AND p.accession_id = d.accession_id "
        "WHERE d.withdrawn_at IS NULL"
    )
    decided = set()
    for layer, accession, part, of_whole in found:
        decided.add((Layer(layer), accession_key(accession, part)))
        if of_whole:
            decided.add((Layer(layer), accession_key(accession, -1)))
    return frozenset(decided)


def digest(requirements: Requirements, house: House) -> str:
    """SHA-256 of the rules, the decisions and the house rules."""
    rules = [[int(r.layer), r.required, r.source, r.country, r.from_day, r.to_day] for r in requirements.rules or ()]
    decided = sorted([int(layer), accession] for layer, accession in requirements.decided)
    text = json.dumps([sorted(rules, key=str), house.record(), decided], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()
