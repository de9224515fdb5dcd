"""What the page of a plan shows beside the matrix: the answer, what to start and by when, papers and decisions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import F, Prefetch, Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperLink, PaperVersion
from governance.papers.queries.links import standing
from governance.plans.models import FieldPlan, PlanDecision, PlanPaper
from governance.plans.planned_rows import LoadedPlan
from governance.plans.queries.check import Need, PlanCheck
from governance.plans.queries.matrix import Decided
from governance.plans.queries.plan_words import (
    THINGS,
    long_day,
    stops_words,
)
from governance.verdicts.cells import Cell


@dataclass(frozen=True)
class Answer:
    """The sentence under the title: the answer, then what remains."""

    bold: str
    rest: str = ""


@dataclass(frozen=True)
class SpeakingPaper:
    """A paper that speaks for the plan. stop: "" for all. row: how it is linked, None for one that speaks anyway."""

    paper: Paper
    for_what: str
    row: PlanPaper | None = None
    is_used: bool = False

    @property
    def layers(self) -> list[Cell]:
        return [Cell(Verdict.COVERED, layer) for layer in self.paper.layer_list]


def answer_of(plan: FieldPlan, check: PlanCheck) -> Answer:
    """The answer first: whether it is ready, what is late, what to start first."""
    if plan.closed_at is not None:
        return Answer(_("Closed on %(day)s.") % {"day": long_day(plan.closed_at.date())}, plan.closed_why)
    if plan.accession is not None:
        return Answer(
            _("The trip is over: this plan became accession %(number)s.") % {"number": plan.accession.number},
            _("What was taken is judged there."),
        )
    if not check.loaded.stops:
        return Answer(_("No stops yet."), _("Once it is known where and when, each stop is checked on nine layers."))
    if not check.open_cells:
        return Answer(
            _("Ready by what is on file: all %(n)d cells are covered or need no paper.") % {"n": len(check.cells)},
            _("The terms of each paper still hold for the team: they stand in the field pack."),
        )
    return _not_ready(check)


def _not_ready(check: PlanCheck) -> Answer:
    count = ngettext(
        "%(n)d of %(of)d cells needs a look before anyone travels.",
        "%(n)d of %(of)d cells need a look before anyone travels.", check.open_cells,
    ) % {"n": check.open_cells, "of": len(check.cells)}  # fmt: skip
    late = [need for need in check.needs if need.is_late]
    if late:
        more = ngettext("%(n)d start is late.", "%(n)d starts are late.", len(late)) % {"n": len(late)}
        return Answer(_("Late: %(count)s") % {"count": count}, f"{more} {_first_words(late[0], is_late=True)}")
    first = check.critical
    return Answer(
        _("Not ready: %(count)s") % {"count": count},
        _first_words(first, is_late=False) if first else _("By when to start is not known for any of them."),
    )


def _first_words(need: Need, *, is_late: bool) -> str:
    told = {"thing": THINGS[need.layer], "day": long_day(need.start_by) if need.start_by else ""}
    if need.verdict == Verdict.MISSING and not is_late:
        return _("The first thing to start is %(thing)s, by %(day)s.") % told
    if is_late:
        return (
            _("The first was %(thing)s, to be started by %(day)s: ask the authority whether it can still be in time.")
            % told
        )
    return _("The first thing to settle is %(thing)s, by %(day)s.") % told


def critical_words(check: PlanCheck) -> str:
    """What decides when the trip can begin: "The export permit decides: it takes 150 days."; "" where nothing does."""
    slowest = max(
        (need for need in check.needs if need.lead.days is not None), key=lambda need: need.lead.days or 0, default=None
    )
    need = check.critical or slowest
    if need is None or need.lead.days is None:
        return ""
    thing = str(THINGS[need.layer])
    return ngettext(
        "%(thing)s decides: it takes %(n)d day.", "%(thing)s decides: it takes %(n)d days.", need.lead.days
    ) % {"thing": thing[:1].upper() + thing[1:], "n": need.lead.days}  # fmt: skip


def unknown_words(check: PlanCheck) -> str:
    """How many needs have no day to start by; "" for none."""
    count = sum(need.start_by is None for need in check.needs)
    if not count:
        return ""
    return ngettext(
        "For %(n)d of them the day to start by is not known; it may be the one that decides.",
        "For %(n)d of them the day to start by is not known; one of these may be the one that decides.", count,
    ) % {"n": count}  # fmt: skip


def decided_of(decisions: Iterable[PlanDecision], loaded: LoadedPlan) -> Decided:
    """For which stop and layer a standing decision speaks."""
    every = [one.stop.pk for one in loaded.stops]
    return frozenset(
        (stop, Layer(row.layer)) for row in decisions for stop in (every if row.stop_id is None else [row.stop_id])
    )


def standing_decisions(plan: FieldPlan) -> list[PlanDecision]:
    """Decisions "not required" that were not withdrawn."""
    rows = plan.decisions.filter(withdrawn_at__isnull=True).select_related("decided_by", "stop")
    return list(rows.order_by("layer", "stop__position", "pk"))


def speaking_papers(check: PlanCheck) -> list[SpeakingPaper]:
    """Linked papers, and those that speak by a site or for all accessions; first those on which a cell rests."""
    loaded = check.loaded
    numbers = {one.stop.pk: number for number, one in enumerate(loaded.stops, start=1)}
    used = {one.pk for cell in check.cells.values() for one in cell.papers}
    rows = list(
        PlanPaper.objects.filter(plan=loaded.plan, unlinked_at__isnull=True).prefetch_related(_with_terms("paper"))
    )
    shown = [
        SpeakingPaper(
            row.paper, _("all stops") if row.stop_id is None else stops_words([numbers[row.stop_id]], 0), row,
            row.paper_id in used,
        )
        for row in rows
    ]  # fmt: skip
    return sorted([*shown, *_speaking_anyway(loaded, used)], key=lambda one: not one.is_used)


def _speaking_anyway(loaded: LoadedPlan, used: set[int]) -> Iterable[SpeakingPaper]:
    """Papers that are linked to the site of a stop, or to all accessions."""
    sites = {one.stop.site.pk: one.stop.site for one in loaded.stops if one.stop.site}
    links = (
        standing(PaperLink.objects.filter(Q(site__in=sites) | Q(all_accessions=True)))
        .prefetch_related(_with_terms("paper"))
        .order_by("paper__reference", "pk")
    )
    for link in links:
        site = sites.get(link.site_id or 0)
        what = _("site %(site)s") % {"site": site} if site else _("all accessions")
        yield SpeakingPaper(link.paper, _("linked to %(what)s") % {"what": what}, None, link.paper_id in used)


def _with_terms(path: str) -> Prefetch[str]:
    """Papers with what bars and areas are drawn from."""
    versions = PaperVersion.objects.order_by(F("in_force_from").asc(nulls_first=True), "pk").prefetch_related(
        "versionseasons", "versionplaces"
    )
    papers = Paper.objects.prefetch_related(Prefetch("versions", versions), "statuses")
    return Prefetch(path, papers)
