"""The twin of the engine, part four: numbers (section 6 of the contract), one specimen against the caps of one version.

``Taken`` is what one linked specimen or lot adds to the numbers taken under a paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from governance.engine.reference_taxa import (
    Answer,
    Classification,
    Fit,
    Lineage,
    Path,
    Reply,
    may_be_same,
    reply,
)
from governance.engine.tables import UNBOUNDED, Cap, Finding


@dataclass(frozen=True)
class Taken:
    """One specimen or lot linked to the paper.

    certain, possible: the paper's taxon, date and place answers are all yes; none of them is no, a straddling run left
    aside. days: first and last day on which it may have been taken, None if its date gives none. years: first and
    last calendar year (infinite where open). event: "" if blank. sites: every key of its site.
    """

    number: int
    path: Path
    certain: bool
    possible: bool
    low: int
    high: int
    count_assumed: bool
    days: tuple[int, int] | None
    years: tuple[float, float]
    sites: tuple[str, ...] = ()
    event: str = ""


def numbers_reply(me: Taken, linked: Sequence[Taken], caps: Sequence[Cap], classification: Classification) -> Reply:
    """Section 6, numbers: the answer of all caps of one version. A specimen that no cap could count is not tested."""
    tested = [cap for cap in caps if _possibly_counts(me, cap, classification)]
    replies = [_cap_reply(me, linked, cap, classification) for cap in tested]
    answer = max((r.answer for r in replies), default=Answer.YES)
    if answer == Answer.YES:
        return reply(Answer.YES, "count-assumed") if tested and me.count_assumed else reply(Answer.YES)
    findings = tuple(finding for r in replies for finding in r.findings)
    over = [f.measure - f.against if f.measure is not None and f.against is not None else math.inf for f in findings]
    return Reply(answer, findings, max(over))


def _cap_reply(me: Taken, linked: Sequence[Taken], cap: Cap, classification: Classification) -> Reply:
    """One cap: ``no`` if it certainly counts and B >= cap; yes if A <= cap; else unknown."""
    b = _certain_before(me, linked, cap, classification)
    if _certainly_counts(me, cap, classification) and b >= cap.limit:
        return Reply(Answer.NO, (Finding("cap-breached", b, cap.limit, "individuals"),))
    a = _possible_up_to(me, [x for x in linked if _possibly_by(me, x)], cap, classification)
    if a <= cap.limit:
        return reply(Answer.YES)
    return Reply(Answer.UNKNOWN, (Finding("cap-possible", _or_none(a), cap.limit, "individuals"),))


def cap_as_a_whole(linked: Sequence[Taken], cap: Cap, classification: Classification) -> tuple[str, int, int | None]:
    """Section 6, "The cap as a whole": safe, breached or possible, with L and U (None: no bound), where it is worst."""
    counted = [x for x in linked if _possibly_counts(x, cap, classification)]
    sure = [x for x in counted if _certainly_counts(x, cap, classification)]
    lower = max((sum(y.low for y in sure if x is y or _certainly_together(x, y, cap)) for x in sure), default=0)
    upper = max((_possible_up_to(x, linked, cap, classification) for x in counted), default=0)
    state = "safe" if upper <= cap.limit else "breached" if lower > cap.limit else "possible"
    return state, lower, _or_none(upper)


def _or_none(individuals: int) -> int | None:
    return None if individuals >= UNBOUNDED else individuals


# -------------------------------------------------------------------------------------------------- who is counted


def _certainly_counts(x: Taken, cap: Cap, classification: Classification) -> bool:
    """Taxon, date and place answers are yes, and the name lies at or below the capped taxon."""
    if not x.certain or cap.taxon is None:
        return x.certain
    return classification.fit(x.path, cap.taxon) == Fit.INSIDE and not classification.is_ambiguous(x.path, cap.taxon)


def _possibly_counts(x: Taken, cap: Cap, classification: Classification) -> bool:
    """None of these answers is no, and the name could lie at or below the capped taxon."""
    return x.possible and (cap.taxon is None or classification.fit(x.path, cap.taxon) != Fit.OUTSIDE)


def _certain_before(me: Taken, linked: Iterable[Taken], cap: Cap, classification: Classification) -> int:
    """B: individuals certainly counted, certainly of one group with this specimen, and certainly before its event."""
    return sum(
        x.low
        for x in linked
        if _certainly_counts(x, cap, classification) and _certainly_before(x, me) and _certainly_together(x, me, cap)
    )


def _certainly_before(x: Taken, me: Taken) -> bool:
    same_event = bool(x.event) and x.event == me.event
    return not same_event and x.days is not None and me.days is not None and x.days[1] < me.days[0]


def _possibly_by(me: Taken, x: Taken) -> bool:
    """Possibly taken up to and including the event of this specimen."""
    same_event = x is me or (bool(x.event) and x.event == me.event)
    return same_event or x.days is None or me.days is None or x.days[0] <= me.days[1]


# --------------------------------------------------------------------------- one year, site or event, one species


def _certainly_together(x: Taken, me: Taken, cap: Cap) -> bool:
    """Certainly of one year, site or event, and of one species where the cap is for each species."""
    if cap.per == "year" and not (x.years == me.years and x.years[0] == x.years[1]):
        return False
    if cap.per == "site" and not set(x.sites) & set(me.sites):
        return False
    if cap.per == "event" and (not x.event or x.event != me.event):
        return False
    return not cap.each_species or _same_species(x.path, me.path)


def _possibly_together(x: Taken, me: Taken, cap: Cap) -> bool:
    """Possibly of one site or event: a blank one is possible with all."""
    if cap.per == "site":
        return x is me or not x.sites or not me.sites or bool(set(x.sites) & set(me.sites))
    if cap.per == "event":
        return x is me or not x.event or not me.event or x.event == me.event
    return True


def _same_species(one: Path, other: Path) -> bool:
    kingdoms = {one.lineage[0], other.lineage[0]} - {""}
    return bool(one.species) and one.species == other.species and len(kingdoms) < 2


def _possible_up_to(me: Taken, linked: Sequence[Taken], cap: Cap, classification: Classification) -> int:
    """A: individuals possibly counted with this specimen, the largest over its possible years and species."""
    pool = [x for x in linked if _possibly_counts(x, cap, classification) and _possibly_together(x, me, cap)]
    groups = _species_groups(me, pool, linked, cap, classification) if cap.each_species else [pool]
    return max(sum(x.high for x in group if _may_be_in(x, year, cap)) for group in groups for year in _years(me, pool))


def _years(me: Taken, pool: Iterable[Taken]) -> list[float]:
    """Years that could hold most: this specimen's first year, and every first year of another that it could share."""
    first, last = me.years
    return [first, *(x.years[0] for x in pool if first <= x.years[0] <= last)]


def _may_be_in(x: Taken, year: float, cap: Cap) -> bool:
    return cap.per != "year" or x.years[0] <= year <= x.years[1]


def _species_groups(
    me: Taken, pool: Sequence[Taken], linked: Sequence[Taken], cap: Cap, classification: Classification
) -> list[list[Taken]]:
    """For each species that this specimen could be, seen or unseen: all that could be that species too."""
    seen = {x.path for x in linked if x.path.species and _could_be(me.path, x.path)} | {me.path}
    if cap.taxon is not None:
        seen = {path for path in seen if classification.fit(path, cap.taxon) != Fit.OUTSIDE}
    spelled = {x.path.lineage for x in pool if not x.path.species}
    groups = []
    for species in seen:
        for lineage in _lineages_spelled_out(_merged(me.path.lineage, species.lineage), spelled):
            groups.append([x for x in pool if x is me or _is_of(x.path, Path(lineage))])
    return groups


def _could_be(path: Path, species: Path) -> bool:
    """The path names that species, or stops above it and does not rule it out."""
    if path.species:
        return _same_species(path, species)
    return may_be_same(path.lineage, species.lineage)


def _is_of(path: Path, species: Path) -> bool:
    """The path names that species (an unseen one is named by none), or stops at a name that it lies below."""
    if path.species:
        return _same_species(path, species)
    return all(not name or name == there for name, there in zip(path.lineage, species.lineage, strict=True))


def _merged(one: Lineage, other: Lineage) -> Lineage:
    return tuple(a or b for a, b in zip(one, other, strict=True))


def _lineages_spelled_out(start: Lineage, others: set[Lineage]) -> set[Lineage]:
    """Every lineage that a species could have whose known part is given, as far as the linked names spell it out.

    Names of two families cannot both be the one species, so that their individuals are never added together.
    """
    found, fresh = {start}, {start}
    while fresh:
        fresh = {_merged(a, b) for a in fresh for b in others if may_be_same(a, b)} - found
        found |= fresh
    return found
