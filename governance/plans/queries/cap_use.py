"""How far the limits of papers are used up: by specimens on file, by other plans, and by what this plan expects."""

from __future__ import annotations

from dataclasses import dataclass

from governance.plans.queries.check import PlanCheck


@dataclass(frozen=True)
class Individuals:
    """How many: certainly at least, possibly at most; high None where there is no bound."""

    low: int = 0
    high: int | None = 0


@dataclass(frozen=True)
class CapUse:
    """One limit of one paper, as the plan meets it; where it counts by year, site, event or species, the fullest one.

    taxon: as the paper writes it, "" for all taxa. per: paper, year, site or event. one: which year, site, event or
    species is shown, "" for all together. taken: specimens on file. others: other open plans. expected: this plan.
    total: all three. state: "safe", "possible" or "breached", as the contract says (section 6).
    """

    paper: int
    reference: str
    taxon: str
    each_species: bool
    per: str
    one: str
    limit: int
    taken: Individuals
    others: Individuals
    expected: Individuals
    total: Individuals
    state: str


def cap_uses(check: PlanCheck) -> tuple[CapUse, ...]:
    """The limits that something planned counts under, in the order of the papers."""
    return ()
