"""How far the limits of papers are used up: by specimens on file, by other plans, and by what this plan expects."""

from __future__ import annotations

from dataclasses import dataclass

from governance.engine.cap_totals import CapTotal
from governance.engine.tables import Layer
from governance.plans.planned_rows import PlannedRow
from governance.plans.queries.check import PlanCheck


@dataclass(frozen=True)
class Individuals:
    """How many: certainly at least, possibly at most; high None where there is no bound."""

    low: int = 0
    high: int | None = 0

    @property
    def is_exact(self) -> bool:
        return self.low == self.high


@dataclass(frozen=True)
class CapUse:
    """One limit of one paper, as the plan meets it; where it counts by year, site, event or species, the fullest one.

    layer: whose day is counted. taxon: as the paper writes it, "" for all taxa. per: paper, year, site or event. one:
    which year, site, event or species is shown, "" for all together. taken: specimens on file. others: other open
    plans. expected: this plan. total: all three. state: "safe", "possible" or "breached", as the contract says
    (section 6).
    """

    paper: int
    reference: str
    layer: Layer
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

    @property
    def left(self) -> int:
        """What certainly remains of the limit when all is taken that possibly counts; 0 where that cannot be told."""
        return 0 if self.total.high is None else max(self.limit - self.total.high, 0)


def cap_uses(check: PlanCheck) -> tuple[CapUse, ...]:
    """The limits that something planned counts under, in the order of the papers. Nothing more is read for it."""
    totals, rows = check.bench.cap_totals(check.loaded.plan.pk)
    names = {one.stop.pk: one.stop.name for one in check.loaded.stops}
    return tuple(_use(check, total, _which(total, rows[total.specimen], names)) for total in totals)


def _use(check: PlanCheck, total: CapTotal, one: str) -> CapUse:
    cap = total.cap
    taken, others, expected = (Individuals(low, high) for low, high in zip(total.low, total.high, strict=True))
    return CapUse(
        paper=check.bench.paper_ids[total.paper], reference=check.bench.papers[total.paper].reference,
        layer=total.layer, taxon=cap.taxon.text or cap.taxon.name if cap.taxon else "",
        each_species=cap.each_species, per=cap.per, one=one, limit=cap.limit, taken=taken, others=others,
        expected=expected, total=Individuals(*total.together), state=total.state,
    )  # fmt: skip


def _which(total: CapTotal, row: PlannedRow, names: dict[int, str]) -> str:
    """The year, site or event, and the species, of a row for which the limit fares worst."""
    year = str(row.first_on.year) if row.first_on else ""
    site = dict(row.place).get("locationID", "") or names[row.stop]
    shown = {"year": year, "site": site, "event": names[row.stop]}.get(total.cap.per, "")
    return ", ".join(text for text in (shown, row.name if total.cap.each_species else "") if text)
