"""The facts from which permit terms are told (``governance.verdicts.ggbn``), for one specimen or for a list."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Final, TypeVar

from django.db.models import F, Prefetch, prefetch_related_objects

from accessions.material.models import Specimen
from governance.engine.dates import Interval
from governance.engine.requirements import sources
from governance.engine.tables import OPEN_END, OPEN_START, Layer, Requirements, SearchState, Verdict
from governance.papers.models import Condition, Paper, PaperVersion
from governance.papers.restriction import is_restricted
from governance.verdicts.feed.rules import sheet_rules
from governance.verdicts.ggbn import LayerFact, Permit, PermitTerms, Searched, permit_terms
from governance.verdicts.models import (
    COUNTING,
    LayerDecision,
    OutcomeFinding,
    OutcomePaper,
    Override,
    RulingLayer,
    Search,
)
from governance.verdicts.queries.layer_cards import LayerCard
from governance.verdicts.queries.selected import slices
from governance.verdicts.queries.specimen_page import SpecimenPage
from governance.verdicts.queries.tested_days import TestedDay, tested_days
from governance.verdicts.reason_words import reason_words

R = TypeVar("R", Search, LayerDecision)
Sources = Callable[[Layer, str, Interval | None], tuple[str, ...]]
"""Of a layer in a country on a day: the sources of the rules by which it is not required."""

_URI_MARKS: Final = ("https://", "http://", "urn:", "doi:")
_CONDITIONS: Final = Prefetch("conditions", Condition.objects.order_by("position", "pk"))
_NO_LONGER: Final = "not required when last judged; what that rested on is no longer on file"
_BY_RULE: Final = "no requirement for a permit at date of access, by the rules on file"


@dataclass(frozen=True)
class SpecimenTerms:
    """A specimen with its sets of terms; none before its first assessment."""

    specimen: Specimen
    terms: Sequence[PermitTerms]


def permit_rows(keys: Sequence[int]) -> Iterator[tuple[str, ...]]:
    """Rows of the file: one a set of terms, in the order of the keys."""
    for found in terms_of(keys):
        for terms in found.terms:
            yield (found.specimen.catalog_number, *terms.cells)


def terms_of(keys: Sequence[int]) -> Iterator[SpecimenTerms]:
    """The terms of specimens, in the order of the keys. At most twelve queries for each 2,000."""
    for some in slices(keys):
        rows = Specimen.objects.select_related("event", "delivery", "standing").in_bulk(some)
        specimens = [rows[key] for key in some if key in rows]
        known = _Known.of(specimens)
        for specimen in specimens:
            event = specimen.event
            facts = known.facts(specimen)
            yield SpecimenTerms(specimen, permit_terms(facts, event.earliest_on, event.latest_on) if facts else [])


def terms_of_page(page: SpecimenPage) -> list[PermitTerms]:
    """The same for the page of a specimen, from what it has read already. Two queries."""
    versions = [version for card in page.cards for used in card.papers for version in used.versions]
    prefetch_related_objects(versions, _CONDITIONS)
    specimen, event = page.specimen, page.specimen.event
    known = _Known(
        {page.standing.ruling_id: [_answer_of(card) for card in page.cards]} if page.standing else {},
        {specimen.accession_id: list(reversed(page.searches))},
        {specimen.accession_id: [decision for decision in page.decisions if decision.withdrawn_at is None]},
        {(specimen.pk, o.layer): o for o in page.overrides if o.counts},
        _sources(),
    )
    facts = known.facts(specimen)
    return permit_terms(facts, event.earliest_on, event.latest_on) if facts else []


@dataclass(frozen=True)
class _Answer:
    """An outcome as it is told to the outside."""

    layer: Layer
    verdict: Verdict
    permits: tuple[Permit, ...]
    why: str


@dataclass(frozen=True)
class _Known:
    """answers: by ruling. searches, decisions: by accession, the newest last. overrides: by specimen and layer."""

    answers: Mapping[int, Sequence[_Answer]]
    searches: Mapping[int, Sequence[Search]]
    decisions: Mapping[int, Sequence[LayerDecision]]
    overrides: Mapping[tuple[int, int], Override]
    sources: Sources

    @classmethod
    def of(cls, specimens: Sequence[Specimen]) -> _Known:
        accessions = {specimen.accession_id for specimen in specimens}
        rulings = {s.standing.ruling_id for s in specimens if hasattr(s, "standing")}
        decisions = LayerDecision.objects.filter(accession__in=accessions, withdrawn_at__isnull=True).order_by("pk")
        overrides = Override.objects.filter(COUNTING, specimen__in=[s.pk for s in specimens])
        return cls(
            _answers(rulings),
            _by_accession(Search.objects.filter(accession__in=accessions).order_by("searched_on", "pk")),
            _by_accession(decisions),
            {(override.specimen_id, override.layer): override for override in overrides},
            _sources(),
        )

    def facts(self, specimen: Specimen) -> list[LayerFact]:
        """The layers of a specimen; none before its first assessment."""
        if not hasattr(specimen, "standing"):
            return []
        return [self._fact(specimen, answer) for answer in self.answers[specimen.standing.ruling_id]]

    def _fact(self, specimen: Specimen, answer: _Answer) -> LayerFact:
        override = self.overrides.get((specimen.pk, answer.layer))
        verdict, why = answer.verdict, answer.why
        if override is not None and override.computed == verdict:
            verdict = _counted(verdict, Verdict(override.decided))
            why = override.reason if verdict == Verdict.NOT_REQUIRED else why
        if verdict == Verdict.NOT_REQUIRED and answer.verdict == Verdict.NOT_REQUIRED:
            why = self._why_free(specimen, answer.layer)
        return LayerFact(answer.layer, verdict, answer.permits, why, self._searched(specimen, answer.layer))

    def _why_free(self, specimen: Specimen, layer: Layer) -> str:
        """The decision, that of the part before that of the accession; else the rules; else it was so when it was
        judged, and what it rested on is gone since: the next assessment will tell."""
        own = [d for d in self.decisions.get(specimen.accession_id, ()) if d.layer == layer and _is_of(d, specimen)]
        if own:
            return max(own, key=lambda decision: decision.part_id is not None).reason
        day = _interval(tested_days(specimen.event, specimen.delivery).of_layer(layer))
        found = self.sources(layer, specimen.event.country, day)
        return f"{_BY_RULE}: {'; '.join(found)}" if found else _NO_LONGER

    def _searched(self, specimen: Specimen, layer: Layer) -> Searched | None:
        own = [s for s in self.searches.get(specimen.accession_id, ()) if s.layer == layer and _is_of(s, specimen)]
        return Searched(SearchState(own[-1].state), own[-1].searched_on, own[-1].searched_by) if own else None


def _sources() -> Sources:
    """Asked anew for each specimen, of few distinct days and countries: each is answered once."""
    return cache(partial(sources, Requirements(tuple(Layer), sheet_rules())))


def _counted(computed: Verdict, decided: Verdict) -> Verdict:
    """What a decision beside a verdict is to the outside: never a permit that no paper shows."""
    return decided if decided == Verdict.NOT_REQUIRED else max(computed, decided)


def _is_of(row: Search | LayerDecision, specimen: Specimen) -> bool:
    return row.part_id is None or row.part_id == specimen.part_id


def _interval(day: TestedDay) -> Interval | None:
    """The day as the engine takes it; None where it could not be read."""
    if not day.is_read:
        return None
    first = day.first.toordinal() if day.first else int(OPEN_START)
    return first, day.last.toordinal() if day.last else int(OPEN_END)


def _by_accession(rows: Iterable[R]) -> dict[int, list[R]]:
    found: dict[int, list[R]] = defaultdict(list)
    for row in rows:
        found[row.accession_id].append(row)
    return found


def _answers(rulings: set[int]) -> dict[int, list[_Answer]]:
    """By ruling its nine answers. Seven queries."""
    layers = list(RulingLayer.objects.filter(ruling__in=rulings).select_related("outcome").order_by("ruling", "layer"))
    outcomes = {row.outcome_id for row in layers}
    named: dict[int, list[OutcomePaper]] = defaultdict(list)
    for used in OutcomePaper.objects.filter(outcome__in=outcomes).order_by("outcome", "position"):
        named[used.outcome_id].append(used)
    first = OutcomeFinding.objects.filter(outcome__in=outcomes, position=0).exclude(code="")
    codes = dict(first.values_list("outcome", "code"))
    papers = _papers({used.paper_id for rows in named.values() for used in rows})
    found: dict[int, list[_Answer]] = defaultdict(list)
    for row in layers:
        permits = [_permit(papers[one.paper_id], _tested(papers[one.paper_id], one)) for one in named[row.outcome_id]]
        verdict, code = Verdict(row.outcome.verdict), codes.get(row.outcome_id, "")
        found[row.ruling_id].append(_Answer(Layer(row.layer), verdict, tuple(permits), _why(verdict, code)))
    return found


def _answer_of(card: LayerCard) -> _Answer:
    verdict = Verdict(card.outcome.verdict)
    permits = tuple(_permit(used.paper, used.versions) for used in card.papers)
    return _Answer(card.layer, verdict, permits, _why(verdict, card.first.code if card.first else ""))


def _why(verdict: Verdict, code: str) -> str:
    return str(reason_words(code)) if verdict == Verdict.CANNOT_TELL and code else ""


def _papers(keys: set[int]) -> dict[int, Paper]:
    ordered = PaperVersion.objects.order_by(F("in_force_from").asc(nulls_first=True))
    versions = Prefetch("versions", ordered.prefetch_related(_CONDITIONS))
    return {paper.pk: paper for paper in Paper.objects.filter(pk__in=keys).prefetch_related(versions)}


def _tested(paper: Paper, used: OutcomePaper) -> list[PaperVersion]:
    """The versions that were tested, by their start days."""
    starts = set(used.versions)
    return [v for v in paper.versions.all() if (v.in_force_from and v.in_force_from.isoformat()) in starts]


def _permit(paper: Paper, tested: Sequence[PaperVersion]) -> Permit:
    """A paper; of one that is restricted no text leaves the house, whoever asks."""
    if is_restricted(paper):
        return Permit(paper.reference, paper.kind)
    numbers = (paper.reference, paper.second_number)
    uri = next((number for number in numbers if number.casefold().startswith(_URI_MARKS)), "")
    return Permit(paper.reference, paper.kind, _text(paper, tested), uri)


def _text(paper: Paper, versions: Sequence[PaperVersion]) -> str:
    """Number, issuer, days, and conditions in the words of the paper."""
    days = [
        f"valid {version.in_force_from or 'from an unknown day'} to {version.in_force_to or 'further notice'}"
        for version in versions
    ]
    conditions = [condition.text for version in versions for condition in version.conditions.all()]
    return ", ".join(filter(None, (paper.reference, paper.issuer, *days))) + "".join(f"; {text}" for text in conditions)
