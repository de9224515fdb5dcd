"""All that the page of a specimen shows, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from django.db.models import F, Prefetch, Q

from accessions.material.models import Determination, Specimen, Touch
from accessions.sites.models import Site, SiteBoundary, SiteDesignation
from governance.engine.explain import Words
from governance.engine.tables import HouseRules, Layer, fold
from governance.papers.models import (
    Paper,
    PaperLink,
    PaperStatus,
    PaperVersion,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.verdicts.cells import Cell
from governance.verdicts.models import (
    LayerDecision,
    Outcome,
    OutcomeFinding,
    OutcomePaper,
    Override,
    RulingLayer,
    Search,
    Standing,
)
from governance.verdicts.queries.decisions import by_layer, decisions_of
from governance.verdicts.queries.history import HistoryEntry, verdict_history
from governance.verdicts.queries.layer_cards import LayerCard, PaperUsed, limits_of, shown_finding
from governance.verdicts.queries.shared_by import shared_by
from governance.verdicts.queries.tested_days import TestedDays, tested_days
from governance.verdicts.sentences import words_of

_TERMS = (VersionPlace, VersionTaxon, VersionWord, VersionPerson, VersionSeason, VersionCap)


@dataclass
class SpecimenPage:
    """A specimen with what stands for it. cards: nine, in the order of the layers; none before the first assessment.

    papers: by key, all that its outcomes name and all that are linked to it, with versions and terms. sites: of version
    places, by the text that names them. pending: marks whose verdicts are being worked out.
    """

    specimen: Specimen
    standing: Standing | None
    days: TestedDays
    cards: Sequence[LayerCard]
    papers: Mapping[int, Paper]
    linked: frozenset[int]
    sites: Mapping[str, Site]
    boundaries: Sequence[SiteBoundary]
    designations: Sequence[SiteDesignation]
    determinations: Sequence[Determination]
    children: Sequence[Specimen]
    overrides: Sequence[Override]
    decisions: Sequence[LayerDecision]
    searches: Sequence[Search]
    history: Sequence[HistoryEntry]
    pending: Sequence[Touch] = field(default_factory=list)

    @cached_property
    def open_cards(self) -> list[LayerCard]:
        """The layers that need a look, after decisions of people."""
        return [card for card in self.cards if card.cell.needs_a_look]

    @property
    def waiting_cards(self) -> list[LayerCard]:
        """Layers on which a decision waits for a second person."""
        return [card for card in self.cards if card.waiting]

    @property
    def settled_cards(self) -> list[LayerCard]:
        """Layers on which a person decided beside a verdict that needed a look."""
        return [card for card in self.cards if card.override]

    @property
    def overtaken_cards(self) -> list[LayerCard]:
        """Layers whose computed verdict is another one by now than when a person decided beside it."""
        return [card for card in self.cards if card.computed_then]

    @property
    def remarked_cards(self) -> list[LayerCard]:
        """Covered layers that stand on a stated weakness."""
        return [card for card in self.cards if not card.cell.needs_a_look and card.remarks]

    @property
    def decided_cards(self) -> list[tuple[LayerCard, LayerDecision]]:
        """Layers that a person decided to need no paper, with the decision that counts."""
        return [(card, card.decision) for card in self.cards if card.decision is not None]

    @property
    def withdrawn_decisions(self) -> list[LayerDecision]:
        return [decision for decision in self.decisions if decision.withdrawn_at]

    @property
    def worst(self) -> Cell | None:
        """The worst of its layers, after decisions."""
        return max((card.cell for card in self.cards), key=lambda cell: cell.verdict, default=None)

    @property
    def house(self) -> HouseRules | None:
        """The house rules that its verdicts were reached by."""
        return house_of_run(self.standing) if self.standing else None


def specimen_page(specimen: Specimen) -> SpecimenPage:
    """The page of a specimen that ``page_specimen`` found."""
    standing: Standing | None = getattr(specimen, "standing", None)
    layers = _layers(standing)
    linked = _linked_papers(specimen)
    used = {row.paper_id for layer in layers for row in layer.outcome.papers.all()}
    papers = _papers(used | linked)
    days = tested_days(specimen.event, specimen.delivery)
    overrides = _overrides(specimen)
    decisions = decisions_of(specimen)
    cards = _cards(standing, layers, papers, days, overrides)
    decided = by_layer(decisions)
    for card in cards:
        card.decision = decided.get(card.layer)
    return SpecimenPage(
        specimen=specimen,
        standing=standing,
        days=days,
        cards=cards,
        papers=papers,
        linked=linked,
        sites=_sites_of_places(papers.values()),
        boundaries=_boundaries(specimen),
        designations=_designations(specimen),
        determinations=list(specimen.determinations.select_related("name").order_by("-is_current", "-pk")),
        children=list(specimen.children.select_related("name", "standing")),
        overrides=overrides,
        decisions=decisions,
        searches=_searches(specimen),
        history=verdict_history(specimen.pk),
        pending=_pending(specimen, linked),
    )


def page_specimen(pk: int) -> Specimen | None:
    """The specimen with all that it points at. One query."""
    return (
        Specimen.objects.filter(pk=pk)
        .select_related(
            "accession__source", "part", "delivery", "event__site", "name__taxon", "parent", "standing__ruling",
            "standing__run", "standing__event", "standing__name",
        )
        .first()
    )  # fmt: skip


def house_of_run(standing: Standing) -> HouseRules:
    """The house rules that the run of a standing kept; the defaults where an early run kept none."""
    kept = standing.run.house
    defaults = HouseRules()
    return HouseRules(
        kept.get("assumed_radius_m", defaults.assumed_radius_m),
        kept.get("datum_allowance_m", defaults.datum_allowance_m),
    )


def _layers(standing: Standing | None) -> list[RulingLayer]:
    """The nine outcomes that stand, with papers and findings. Three queries."""
    if standing is None:
        return []
    papers = Prefetch("outcome__papers", OutcomePaper.objects.order_by("position"))
    findings = Prefetch("outcome__findings", OutcomeFinding.objects.order_by("position"))
    found = RulingLayer.objects.filter(ruling=standing.ruling_id).select_related("outcome")
    return list(found.prefetch_related(papers, findings).order_by("layer"))


def linked_to(specimen: Specimen) -> Q:
    """The links that speak for a specimen: its own, of its part, accession, event (by number), site, or all."""
    event = specimen.event
    condition = Q(specimen=specimen.pk) | Q(accession=specimen.accession_id) | Q(all_accessions=True)
    condition |= Q(event__number=event.number) if event.number else Q(event=event.pk)
    if specimen.part_id:
        condition |= Q(part=specimen.part_id)
    if event.site_id:
        condition |= Q(site=event.site_id)
    return condition


def _linked_papers(specimen: Specimen) -> frozenset[int]:
    links = PaperLink.objects.filter(linked_to(specimen), unlinked_at__isnull=True)
    return frozenset(links.values_list("paper", flat=True))


def _papers(keys: Iterable[int]) -> dict[int, Paper]:
    """Papers with states, versions and terms. Nine queries."""
    # Ordered here by plain columns: the orders of the models walk up to the paper, a join or two for each of nine.
    terms = [Prefetch(f"{term._meta.model_name}s", term.objects.order_by("position", "pk")) for term in _TERMS]
    versions = PaperVersion.objects.order_by(F("in_force_from").asc(nulls_first=True)).prefetch_related(*terms)
    found = Paper.objects.filter(pk__in=set(keys)).prefetch_related(
        Prefetch("statuses", PaperStatus.objects.order_by("from_on", "pk")), Prefetch("versions", versions)
    )
    return {paper.pk: paper for paper in found}


def _overrides(specimen: Specimen) -> list[Override]:
    found = specimen.overrides.select_related("decided_by", "withdrawn_by", "reviewed_by")
    return list(found.order_by("-decided_at", "-pk"))


def _cards(
    standing: Standing | None,
    layers: Sequence[RulingLayer],
    papers: Mapping[int, Paper],
    days: TestedDays,
    overrides: Sequence[Override],
) -> list[LayerCard]:
    if standing is None:
        return []
    words = words_of(standing.event, standing.name, house_of_run(standing))
    stands = {override.layer: override for override in overrides if override.counts}
    cards = [_card(row, papers, days, words, stands.get(row.layer)) for row in layers]
    waiting = {override.layer: override for override in overrides if override.waits}
    for card in cards:
        card.waiting = waiting.get(card.layer)
    _count_others(standing, cards)
    return cards


def _card(
    row: RulingLayer, papers: Mapping[int, Paper], days: TestedDays, words: Words, override: Override | None
) -> LayerCard:
    """One layer: its outcome with the papers, versions and sentences of this specimen."""
    layer = Layer(row.layer)
    used = [_used(named, papers[named.paper_id]) for named in row.outcome.papers.all()]
    versions = [version for one in used for version in one.versions]
    day = days.of_layer(layer, tuple(one.paper.kind for one in used))
    findings = [shown_finding(finding, words, day, versions) for finding in row.outcome.findings.all()]
    return LayerCard(layer, row.outcome, used, findings, day, override, limits=limits_of(versions, layer))


def _count_others(standing: Standing, cards: Sequence[LayerCard]) -> None:
    """How many other specimens share the reason of each layer that needs a look."""
    asked: list[Outcome] = [card.outcome for card in cards if card.computed.needs_a_look]
    counts = shared_by(asked, without=standing.pk)
    for card in cards:
        card.others = counts.get(card.layer, 0)


def _used(named: OutcomePaper, paper: Paper) -> PaperUsed:
    """The versions that were tested, by their start days, numbered in the order of their starts."""
    starts = set(named.versions)
    numbered = [
        (f"v{n}", version)
        for n, version in enumerate(paper.versions.all(), start=1)
        if (version.in_force_from.isoformat() if version.in_force_from else None) in starts
    ]
    return PaperUsed(paper, [version for _, version in numbered], ", ".join(number for number, _ in numbered))


def _sites_of_places(papers: Iterable[Paper]) -> dict[str, Site]:
    """The registered sites that versions name without mapping them, by the text of the paper. Two queries."""
    texts = {
        place.site
        for paper in papers
        for version in paper.versions.all()
        for place in version.versionplaces.all()
        if place.site and not place.geojson and place.longitude_deg is None
    }
    if not texts:
        return {}
    keys = {fold(text) for text in texts}
    found = Site.objects.filter(Q(code_key__in=keys) | Q(name_key__in=keys)).prefetch_related("boundaries")
    named: dict[str, set[Site]] = defaultdict(set)
    for site in found:
        for key in {site.name_key, site.code_key}:
            named[key].add(site)
    alone = {key: next(iter(sites)) for key, sites in named.items() if len(sites) == 1}  # a shared name names none
    return {text: alone[fold(text)] for text in texts if fold(text) in alone}


def _boundaries(specimen: Specimen) -> list[SiteBoundary]:
    site = specimen.event.site_id
    if not site:
        return []
    return list(SiteBoundary.objects.filter(site=site).order_by(F("held_from").asc(nulls_first=True)))


def _designations(specimen: Specimen) -> list[SiteDesignation]:
    site = specimen.event.site_id
    return list(SiteDesignation.objects.filter(site=site).order_by("held_from", "pk")) if site else []


def _searches(specimen: Specimen) -> list[Search]:
    """The searches that count for it, the newest first."""
    scope = Q(part__isnull=True) | Q(part=specimen.part_id) if specimen.part_id else Q(part__isnull=True)
    return list(Search.objects.filter(scope, accession=specimen.accession_id).order_by("-searched_on", "-pk"))


def _pending(specimen: Specimen, linked: Iterable[int]) -> list[Touch]:
    """Marks of changes whose verdicts are not worked out yet and that may concern it, oldest first."""
    scope, event = Touch.Scope, specimen.event
    condition = Q(scope__in=[scope.ALL, scope.COUNTRY, scope.NAMES]) | Q(scope=scope.SPECIMEN, key=specimen.pk)
    keys = {
        scope.ACCESSION: specimen.accession_id, scope.PART: specimen.part_id, scope.EVENT: event.pk,
        scope.DELIVERY: specimen.delivery_id, scope.SITE: event.site_id,
    }  # fmt: skip
    for name, key in keys.items():
        if key is not None:
            condition |= Q(scope=name, key=key)
    condition |= Q(scope=scope.PAPER, key__in=set(linked))
    return list(Touch.objects.filter(condition).select_related("by")[:20])


def versions_on_the_map(page: SpecimenPage) -> list[tuple[Paper, PaperVersion, str]]:
    """The versions that were tested where a place matters, each once, with its number."""
    found: dict[int, tuple[Paper, PaperVersion, str]] = {}
    for card in page.cards:
        for used in card.papers if card.layer <= Layer.EXPORT else ():
            for version in used.versions:
                found.setdefault(version.pk, (used.paper, version, used.numbers))
    return list(found.values())
