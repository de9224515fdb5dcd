"""All that a pack is made from, read once: the check, its papers with their terms, caps, notices, sign-off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from django.db.models import prefetch_related_objects

from accessions.people.access import roles_of_bits
from governance.engine.tables import Layer, Verdict, fold
from governance.papers.lifetimes import Standing, lifetime
from governance.papers.models import Paper, PaperVersion
from governance.papers.queries.exchange_objects import LINES
from governance.papers.restriction import opens
from governance.plans.models import FieldPlan, PlanNotice, PlanVersion
from governance.plans.pack.language import PackLanguage
from governance.plans.pack.places import Outlines, site_outlines
from governance.plans.planned_rows import LoadedStop, plan_key
from governance.plans.queries.cap_use import CapUse, cap_uses
from governance.plans.queries.check import CheckedCell, PlanCheck
from governance.plans.queries.notices import notices_of
from governance.plans.queries.signed import Signed, signed

FIELD_LAYERS = tuple(layer for layer in Layer if layer < Layer.EXPORT)
"""Layers that are tested on the days in the field."""

HOME_LAYERS = tuple(layer for layer in Layer if layer >= Layer.EXPORT)
"""Layers that are tested on the way home."""


@dataclass(frozen=True)
class NumberedStop:
    """A stop with its number in the plan, which stays the same if only some stops are in the pack."""

    number: int
    one: LoadedStop

    @property
    def pk(self) -> int:
        return int(self.one.stop.pk)


@dataclass(frozen=True)
class PaperAtStop:
    """A paper that speaks for a stop, with the versions that the engine tested there, and the layers.

    is_tested: False for one that the engine did not look at, since no rule asks for its layer, or nobody knows: what
    it says binds the team all the same. Then the versions are those in force on a day of the stop.
    """

    paper: Paper
    versions: tuple[PaperVersion, ...]
    layers: tuple[Layer, ...]
    is_tested: bool = True


@dataclass(frozen=True)
class PackSources:
    """What a pack is made from. stops: those that are in it. reader: whose role says which papers may be told.

    attached: keys of papers that are linked to the plan, or to one of these stops.
    """

    check: PlanCheck
    stops: tuple[NumberedStop, ...]
    reader: Any
    words: PackLanguage
    papers: Mapping[int, Paper]
    notices: Sequence[PlanNotice]
    signed: Signed | None
    newest: PlanVersion | None
    attached: frozenset[int] = frozenset()

    @property
    def plan(self) -> FieldPlan:
        return self.check.loaded.plan

    @property
    def carried(self) -> list[Paper]:
        """Papers that cover something at the stops, or are linked to them, by number; one that only does not fit
        stays at home."""
        covering = {
            used.pk
            for stop in self.stops
            for layer in Layer
            for answer in self.cell(stop, layer).answers
            if answer.verdict == Verdict.COVERED
            for used in answer.papers
        }
        keys = covering | self.attached
        return sorted((self.papers[pk] for pk in keys if pk in self.papers), key=lambda paper: paper.reference)

    def may_read(self, paper: Paper) -> bool:
        return opens(paper, self.reader)

    def roles(self, paper: Paper) -> str:
        """The roles that may read a paper, in the language of the pack."""
        return self.words.several([self.words.of("roles", role) for role in roles_of_bits(paper.restricted_to)])

    def cell(self, stop: NumberedStop, layer: Layer) -> CheckedCell:
        return self.check.cells[stop.pk, layer]

    def papers_at(self, stop: NumberedStop, layers: Collection[Layer]) -> list[PaperAtStop]:
        """The papers that speak for a stop on some layers, by their number."""
        starts: dict[int, dict[int | None, None]] = defaultdict(dict)
        served: dict[int, dict[Layer, None]] = defaultdict(dict)
        for layer in layers:
            for answer in self.cell(stop, layer).answers:
                for used in answer.papers:
                    starts[used.pk].update(dict.fromkeys(used.versions))
                    served[used.pk][layer] = None
        found = [
            PaperAtStop(self.papers[pk], self._versions(pk, starts[pk]), tuple(served[pk]))
            for pk in starts
            if pk in self.papers
        ] + self._untested(stop, layers, starts)
        return sorted(found, key=lambda at: at.paper.reference)

    def _untested(self, stop: NumberedStop, layers: Collection[Layer], tested: Collection[int]) -> list[PaperAtStop]:
        """Papers that speak for the stop and serve one of the layers, though the engine did not need them."""
        first, last = stop.one.days
        found = []
        for paper in self.papers.values():
            served = tuple(layer for layer in paper.layer_list if layer in layers)
            if served and paper.pk not in tested and paper.pk in self._speaking[stop.pk]:
                versions = tuple(
                    version for version in paper.versions.all()
                    if first is None or last is None or self.in_force.days(paper, version, first, last)
                )  # fmt: skip
                found.append(PaperAtStop(paper, versions, served, is_tested=False))
        return found

    def _versions(self, paper: int, starts: Collection[int | None]) -> tuple[PaperVersion, ...]:
        return tuple(
            version
            for version in self.papers[paper].versions.all()
            if (version.in_force_from.toordinal() if version.in_force_from else None) in starts
        )

    @cached_property
    def _speaking(self) -> Mapping[int, frozenset[int]]:
        """By stop the papers that speak for it."""
        return {stop.pk: speaking_for(self.check, stop.one) for stop in self.stops}

    @cached_property
    def in_force(self) -> InForce:
        return InForce()

    @cached_property
    def outlines(self) -> Outlines:
        """Boundaries of sites that the papers name without mapping them."""
        return site_outlines([version for paper in self.papers.values() for version in paper.versions.all()])

    @cached_property
    def caps(self) -> tuple[CapUse, ...]:
        """How far limits are used."""
        return cap_uses(self.check)


def speaking_for(check: PlanCheck, one: LoadedStop) -> frozenset[int]:
    """Keys of the papers that speak for a stop: linked to it or to the plan, linked to its site or to everything.

    As the bench of the check has them: a paper that was only applied for is none of them.
    """
    stop = one.stop
    key, site = plan_key(check.loaded.plan.pk, stop.pk), fold(stop.site.code) if stop.site else None
    return frozenset(
        pk
        for pk, paper in zip(check.bench.paper_ids, check.bench.papers, strict=True)
        if paper.covers.all_accessions or key in paper.covers.accessions or site in paper.covers.sites
    )


class InForce:
    """On which days versions are in force; a day of a paper is looked at once.

    By the same reading of a paper's life as its own page; whether a stop is covered is for the engine to say.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[int, date], PaperVersion | None] = {}

    def days(self, paper: Paper, version: PaperVersion, first: date, last: date) -> tuple[date, date] | None:
        """The first run of days from ``first`` to ``last`` on which the version is the one in force; None: none."""
        days = (first + timedelta(number) for number in range((last - first).days + 1))
        held = [day for day in days if self._version(paper, day) == version]
        if not held:
            return None
        end = held[0]
        for day in held[1:]:
            if day - end > timedelta(1):
                break
            end = day
        return held[0], end

    def _version(self, paper: Paper, day: date) -> PaperVersion | None:
        if (paper.pk, day) not in self._known:
            life = lifetime(paper, day)
            self._known[paper.pk, day] = life.version if life.standing == Standing.IN_FORCE else None
        return self._known[paper.pk, day]


def sources(check: PlanCheck, reader: Any, words: PackLanguage, chosen: Collection[int] | None = None) -> PackSources:
    """Read what a pack needs. chosen: keys of the stops; None: all."""
    numbered = [NumberedStop(number, one) for number, one in enumerate(check.loaded.stops, 1)]
    stops = tuple(stop for stop in numbered if chosen is None or stop.pk in chosen)
    plan = check.loaded.plan
    attached = _attached(plan, stops)
    return PackSources(
        check, stops, reader, words, _papers(check, stops, attached), list(notices_of(plan)), signed(plan, check),
        plan.versions.order_by("-number").first(), attached,
    )  # fmt: skip


def _attached(plan: FieldPlan, stops: Sequence[NumberedStop]) -> frozenset[int]:
    """Papers that are linked to the plan, or to one of the stops."""
    keys = {stop.pk for stop in stops}
    rows = plan.plan_papers.filter(unlinked_at__isnull=True).values_list("paper_id", "stop_id")
    return frozenset(paper for paper, stop in rows if stop is None or stop in keys)


def _papers(check: PlanCheck, stops: Sequence[NumberedStop], attached: Collection[int]) -> dict[int, Paper]:
    """The papers held against the stops, with their terms, and all that are linked to the plan or to these stops."""
    used = {
        paper.pk
        for stop in stops
        for layer in Layer
        for answer in check.cells[stop.pk, layer].answers
        for paper in answer.papers
    }
    used |= {pk for stop in stops for pk in speaking_for(check, stop.one)} | set(attached)
    papers = list(Paper.objects.filter(pk__in=used).select_related("issuer_agent"))
    prefetch_related_objects(papers, *LINES, "versions__reading_pages")
    return {paper.pk: paper for paper in papers}
