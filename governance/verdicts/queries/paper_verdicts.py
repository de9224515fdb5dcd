"""What the stored verdicts say of one paper, or of the papers of a list: covered by it, held against it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Count

from accessions.material.models import SamplingEvent, Specimen
from governance.engine.tables import Verdict
from governance.papers.models import PaperLink
from governance.verdicts.models import OutcomeFinding, RulingLayer, Standing

_MOST_POINTS = 400
_MOST_DAYS = 400


@dataclass
class Counts:
    """covered: under the paper in at least one layer and in none held against it; open: the others that name it."""

    covered: int = 0
    open: int = 0

    def add(self, is_open: bool, number: int) -> None:
        """Count specimens of one ruling."""
        if is_open:
            self.open += number
        else:
            self.covered += number


@dataclass
class PaperVerdicts:
    """codes: of what needs a look, by the first finding. days: (first, last, specimens, needs a look)."""

    counts: Counts = field(default_factory=Counts)
    accessions: set[int] = field(default_factory=set)
    codes: Counter[str] = field(default_factory=Counter)
    days: list[tuple[date, date | None, int, bool]] = field(default_factory=list)
    of_target: dict[tuple[str, int], Counts] = field(default_factory=lambda: defaultdict(Counts))


def paper_verdicts(paper: int) -> PaperVerdicts:
    """Three queries over the stored outcomes; no verdict is made here."""
    rulings = rulings_of([paper])
    codes = _codes(paper)
    found = PaperVerdicts()
    columns = ("ruling_id", "accession_key", "part_key", "site_key", "event_id", "first_on", "last_on")
    rows = Standing.objects.filter(ruling__in=list(rulings)).order_by().values_list(*columns).annotate(n=Count("pk"))
    days: dict[tuple[date, date | None, bool], int] = defaultdict(int)
    for ruling, accession, part, site, event, first, last, number in rows:
        is_open = rulings[ruling][paper]
        found.counts.add(is_open, number)
        found.accessions.add(accession)
        for kind, key in (("accession", accession), ("part", part), ("site", site), ("event", event)):
            if key is not None:
                found.of_target[kind, key].add(is_open, number)
        if is_open:
            found.codes[codes.get(ruling, "")] += number
        if first:
            days[first, last if last != first else None, is_open] += number
    found.days = [(first, last, number, is_open) for (first, last, is_open), number in sorted(days.items(), key=str)]
    found.days = found.days[:_MOST_DAYS]
    return found


def rulings_of(papers: Iterable[int]) -> dict[int, dict[int, bool]]:
    """Rulings that name the papers: ruling -> paper -> whether a layer that names it needs a look. One query."""
    found: dict[int, dict[int, bool]] = defaultdict(dict)
    rows = RulingLayer.objects.filter(outcome__papers__paper__in=list(papers)).order_by()
    for ruling, paper, verdict in rows.values_list("ruling_id", "outcome__papers__paper_id", "outcome__verdict"):
        needs_look = verdict >= Verdict.CANNOT_TELL
        found[ruling][paper] = found[ruling].get(paper, False) or needs_look
    return found


def counts_of_papers(papers: Sequence[int]) -> dict[int, Counts]:
    """For lists: two queries for any number of papers."""
    rulings = rulings_of(papers)
    found: dict[int, Counts] = {paper: Counts() for paper in papers}
    rows = Standing.objects.filter(ruling__in=list(rulings)).order_by().values_list("ruling_id").annotate(n=Count("pk"))
    for ruling, number in rows:
        for paper, is_open in rulings[ruling].items():
            if paper in found:
                found[paper].add(is_open, number)
    return found


def _codes(paper: int) -> dict[int, str]:
    """Ruling -> code of the first finding of its worst layer that names the paper."""
    rows = (
        RulingLayer.objects.filter(outcome__papers__paper=paper, outcome__verdict__gte=Verdict.CANNOT_TELL)
        .order_by("outcome__verdict")
        .values_list("ruling_id", "outcome_id")
    )
    outcomes = dict(rows)
    first = dict(
        OutcomeFinding.objects.filter(outcome__in=set(outcomes.values()), position=0).values_list("outcome_id", "code")
    )
    return {ruling: first.get(outcome, "") for ruling, outcome in outcomes.items()}


@dataclass(frozen=True)
class TargetRow:
    """A link with how many specimens are behind it, and how they stand under the paper."""

    link: PaperLink
    specimens: int
    counts: Counts


def target_rows(links: Sequence[PaperLink], found: PaperVerdicts) -> list[TargetRow]:
    """Specimens behind each link: one query for each kind of link there is."""
    totals = {
        ("accession", key): n for key, n in _totals("accession_id", [x.accession_id for x in links if x.accession_id])
    }
    totals |= {("part", key): n for key, n in _totals("part_id", [x.part_id for x in links if x.part_id])}
    totals |= {("event", key): n for key, n in _totals("event_id", [x.event_id for x in links if x.event_id])}
    totals |= {("site", key): n for key, n in _totals("event__site_id", [x.site_id for x in links if x.site_id])}
    rows = []
    for link in links:
        kind = next((k for k in ("accession", "part", "site", "event") if getattr(link, f"{k}_id")), "")
        key = (kind, getattr(link, f"{kind}_id") if kind else 0)
        counts = found.of_target.get(key, Counts()) if kind else found.counts
        rows.append(TargetRow(link, totals.get(key, 0) if kind else counts.covered + counts.open, counts))
    return rows


def _totals(column: str, keys: Sequence[int]) -> Iterable[tuple[int, int]]:
    if not keys:
        return []
    return (
        Specimen.objects.filter(**{f"{column}__in": keys}).order_by().values_list(column).annotate(n=Count("pk"))
    )  # fmt: skip


def event_places(paper: int) -> list[dict[str, Any]]:
    """Places at which specimens named with the paper were taken: position, how well known, number, worst of them."""
    rulings = rulings_of([paper])
    rows = (
        Standing.objects.filter(ruling__in=list(rulings), event__longitude_deg__isnull=False)
        .order_by()
        .values_list("ruling_id", "event_id")
        .annotate(n=Count("pk"))
    )
    counted: dict[int, list[Any]] = {}
    for ruling, event, number in rows:
        entry = counted.setdefault(event, [0, False])
        entry[0] += number
        entry[1] = entry[1] or rulings[ruling][paper]
    chosen = sorted(counted, key=lambda event: (not counted[event][1], -counted[event][0]))[:_MOST_POINTS]
    events = SamplingEvent.objects.filter(pk__in=chosen).values_list(
        "pk", "number", "longitude_deg", "latitude_deg", "radius_m"
    )
    return [
        {"number": number, "longitude_deg": longitude, "latitude_deg": latitude, "radius_m": radius,
         "count": counted[pk][0], "needs_look": counted[pk][1]}
        for pk, number, longitude, latitude, radius in events
    ]  # fmt: skip
