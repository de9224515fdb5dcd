"""What the register knows needs a person, as of a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, F, Max, OuterRef, Q, Subquery

from accessions.intake.models import Batch
from accessions.material.models import Accession, Touch
from accessions.material.queries.arrivals import ArrivalFilter, Waiting, arrivals
from governance.engine.tables import Verdict
from governance.papers.models import Paper, PaperStatus, PaperVersion
from governance.papers.statuses import ENDS
from governance.verdicts.models import CountrySheet, HouseRuleSet, Run, Standing
from governance.verdicts.queries.filters import OPEN_VERDICTS
from governance.verdicts.queries.kept_counts import kept_count

AHEAD_DAYS = 153
"""Five months: as far ahead as the page looks."""

_MOST = 6


@dataclass(frozen=True)
class EndingPaper:
    """A paper whose last version ends."""

    paper: Paper
    starts_on: date | None
    ends_on: date
    days: int


def ending_papers(today: date) -> list[EndingPaper]:
    """Papers whose newest version ends from today to five months on, soonest first; those given up are left out."""
    newest = PaperVersion.objects.filter(paper=OuterRef("pk")).order_by(F("in_force_from").desc(nulls_last=True))
    over = PaperStatus.objects.filter(state__in=(*ENDS, "refused")).values("paper")
    found = (
        Paper.objects.annotate(
            starts_on=Subquery(newest.values("in_force_from")[:1]), ends_on=Subquery(newest.values("in_force_to")[:1])
        )
        .filter(ends_on__range=(today, today + timedelta(AHEAD_DAYS)))
        .exclude(pk__in=over)
        .order_by("ends_on", "reference")
    )
    return [EndingPaper(p, p.starts_on, p.ends_on, (p.ends_on - today).days) for p in found]


def unread_papers() -> list[Paper]:
    """Papers on file of which no version was entered, by reference; what was only applied for is no paper yet."""
    decision = PaperStatus.objects.filter(paper=OuterRef("pk"), state__in=("applied", "refused", "granted"))
    last = Subquery(decision.order_by("-from_on", "-pk").values("state")[:1])
    given = Paper.objects.alias(decision=last).filter(Q(decision__isnull=True) | Q(decision="granted"))
    return list(given.filter(versions__isnull=True).order_by("reference"))


@dataclass(frozen=True)
class CountryTally:
    """Specimens of a country. worst: of any of them; has_sheet: whether its requirements are known."""

    code: str
    specimens: int
    open: int
    worst: Verdict
    has_sheet: bool


def countries() -> list[CountryTally]:
    """The countries of the specimens with a verdict, most specimens first. "" is a country that is not known."""
    sheets = set(CountrySheet.objects.values_list("country", flat=True))
    return [
        CountryTally(code, n, is_open, Verdict(worst), code in sheets)
        for code, n, is_open, worst in kept_count("countries", _counted_by_country)
    ]


def _counted_by_country() -> list[tuple[str, int, int, int]]:
    counted = Standing.objects.values_list("country").annotate(
        n=Count("pk"), open=Count("pk", filter=Q(worst__in=OPEN_VERDICTS)), worst=Max("worst")
    )
    return list(counted.order_by("-n", "country"))


@dataclass(frozen=True)
class Arrival:
    """An accession of which a layer has no paper on file."""

    accession: Accession
    specimens: int


def arrivals_without_papers() -> tuple[list[Arrival], int]:
    """Accessions with a missing layer, the latest received first, and how many there are. Three queries."""
    counts = kept_count("missing", _counted_without_papers)
    latest = Accession.objects.filter(pk__in=_likely(counts)).order_by(
        F("received_on").desc(nulls_last=True), "-number"
    )
    return [Arrival(accession, counts[accession.pk]) for accession in latest[:_MOST]], len(counts)


def _counted_without_papers() -> dict[int, int]:
    """By accession the specimens of which a layer is missing."""
    missing = Standing.objects.filter(worst=Verdict.MISSING).values_list("accession_key").annotate(n=Count("pk"))
    return dict(missing.order_by())


def _likely(counts: dict[int, int]) -> list[int]:
    """The newest accessions of the register: a statement cannot hold any number of keys."""
    return sorted(counts, reverse=True)[:500]


@dataclass(frozen=True)
class LongWaits:
    """Deliveries that wait longer than the house rule allows, the oldest first."""

    waiting: Sequence[Waiting]
    longest_days: int


def long_waits(today: date) -> LongWaits:
    """Two queries: the house rules, and what waits."""
    rules = HouseRuleSet.objects.only("longest_wait_days").first() or HouseRuleSet()
    longest = rules.longest_wait_days
    return LongWaits([w for w in arrivals(ArrivalFilter(), today) if (w.days or 0) > longest], longest)


@dataclass(frozen=True)
class Upkeep:
    """What waits for somebody or for the machine."""

    batches: Sequence[Batch]
    touches: int
    run: Run | None


def upkeep(*, with_files: bool) -> Upkeep:
    """Files that wait for a person, changes whose verdicts are not worked out yet, and the run that goes on.

    with_files: no for those who may not open a file brought in; to them none is named.
    """
    waiting = Batch.objects.filter(state=Batch.State.RECEIVED).only("file_name", "received_at", "state").order_by("pk")
    going_on = Run.objects.filter(state__in=(Run.State.WAITING, Run.State.RUNNING)).order_by("-pk").first()
    return Upkeep(list(waiting[:_MOST]) if with_files else [], Touch.objects.count(), going_on)
