"""One plain sentence for every finding: what was found, held against which paper, by how much.

Wording: past tense, neutral, the measure with its unit, the paper by its reference; never a word for an offence.
The sentences are templates by code, so that a screen in another language can bring its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from governance.engine.areas import Shapes, item_error_m
from governance.engine.outcomes import Assessment
from governance.engine.pairs import Edition
from governance.engine.tables import (
    NONE,
    Dates,
    Finding,
    HouseRules,
    Layer,
    Material,
    Outlines,
    Paper,
    PlaceItem,
    Places,
    Taxa,
    Verdict,
)


def gettext_noop(text: str) -> str:
    """The text as it is. Its name marks the text for translators, whose tool reads names: the engine knows no language.

    The room of verdicts says the sentence in the language of its reader (``governance.verdicts.spoken``).
    """
    return text


TEMPLATES: Mapping[str, str] = {
    "": gettext_noop("{paper} {covers} it."),
    "requirement-unknown": gettext_noop(
        "Whether this layer was required cannot be told: the country or the day is not known well enough."
    ),
    "no-rule": gettext_noop("No country sheet says whether this layer is required here."),
    "not-searched": gettext_noop("No paper on file is linked for this layer; no search is recorded."),
    "known-not-located": gettext_noop("A paper is known to exist for this layer but has not been located."),
    "none-found": gettext_noop("No paper is on file for this layer; a search found none."),
    "paper-unread": gettext_noop("{paper} is on file without its terms; enter a version to have it tested."),
    "revoked": gettext_noop("{did} {when} after {paper} was revoked, withdrawn or given up{nearest}."),
    "suspended": gettext_noop("{did} {when} while {paper} was suspended{nearest}."),
    "closed-season": gettext_noop("{did} {when} in a closed season of {paper}{nearest}."),
    "between-versions": gettext_noop("{did} {when} in a gap between two versions of {paper}{nearest}."),
    "before-start": gettext_noop("{did} {when}, {measure} before the start date of {paper}."),
    "after-end": gettext_noop("{did} {when}, {measure} after the end date of {paper}."),
    "straddles": gettext_noop("The run {when} crosses an end or a gap of {paper}: {inside} of {against} were inside."),
    "date-vague": gettext_noop(
        "The date {when} is not known to the day: {inside} of its {against} are valid days of {paper}."
    ),
    "date-missing": gettext_noop("No {day} is recorded, so the dates of {paper} cannot be tested."),
    "date-unreadable": gettext_noop("The {day} {when} is not taken as it stands{hint}."),
    "date-conflict": gettext_noop("The {day} {when} is in conflict with what else is recorded{hint}."),
    "start-unknown": gettext_noop("{did} {when}; on which day {paper} began is not known."),
    "coordinates-invalid": gettext_noop("The coordinates cannot be: {where}."),
    "coordinates-generalized": gettext_noop(
        "The coordinates were made coarser on purpose, so they cannot be held against the area of {paper}."
    ),
    "country-mismatch": gettext_noop(
        "The point lies {measure} from the country stated ({country}); position known to {reach}."
    ),
    "swapped": gettext_noop("With latitude and longitude swapped the point would lie in the country stated."),
    "sign": gettext_noop("With a sign changed the point would lie in the country stated."),
    "radius-unknown": gettext_noop(
        "How well the position is known is not recorded, so it cannot be held against the area of {paper}."
    ),
    "place-conflict": gettext_noop(
        "The point lies {measure} outside the site it names as {paper} maps it; position known to {reach}."
    ),
    "excluded-area": gettext_noop("The place lies in an area that {paper} excludes{depth}."),
    "place-missing": gettext_noop("No coordinates are recorded, and {paper} does not name the place."),
    "outside-area": gettext_noop(
        "The point lies {measure} outside the area of {paper}; position known to {reach}{boundary}."
    ),
    "at-sea": gettext_noop(
        "The point lies at sea, {measure} from the area of {paper}; whether its waters belong to it is not known."
    ),
    "area-not-mapped": gettext_noop(
        "{paper} has a place that is not mapped, so whether the point lies in it cannot be told."
    ),
    "exclusion-edge": gettext_noop(
        "The place touches an area that {paper} excludes: {measure} {side} its edge; "
        "position known to {reach}{boundary}."
    ),
    "area-edge": gettext_noop(
        "The point lies {measure} {side} the edge of the area of {paper}; position known to {reach}{boundary}."
    ),
    "taxon-ambiguous": gettext_noop("A name on {paper} stands under two kingdoms, and {name} could be meant by it."),
    "taxon-excluded": gettext_noop("{name} is excluded by {paper}."),
    "taxon-broad": gettext_noop("{name} is not identified far enough to tell whether {paper} includes it."),
    "taxon-unresolved": gettext_noop(
        "A name on {paper} has no place in the classification of these specimens, so {name} cannot be held against it; "
        "its order, family and genus would settle it."
    ),
    "taxon-not-included": gettext_noop("{name} is not among the taxa of {paper}."),
    "taxon-qualified": gettext_noop(
        "{name} is identified with a doubt, and the rest of the name does not decide under {paper}."
    ),
    "method": gettext_noop("None of the methods ({methods}) is allowed by {paper}."),
    "method-mixed": gettext_noop(
        "Not all of the methods ({methods}) are allowed by {paper}; which one took it is not recorded."
    ),
    "method-missing": gettext_noop("No method is recorded, and {paper} limits methods."),
    "person": gettext_noop("None of the people recorded ({people}) is named on {paper}."),
    "person-mixed": gettext_noop(
        "Not all of the people recorded ({people}) are named on {paper}, which allows no assistants."
    ),
    "person-missing": gettext_noop("Nobody is recorded as collector, and {paper} names people."),
    "person-maybe": gettext_noop("Whether {people} is a person named on {paper} cannot be told from the initials."),
    "sex": gettext_noop("The sex ({sexes}) is not among those of {paper}."),
    "sex-mixed": gettext_noop("Not all of the sexes ({sexes}) are among those of {paper}."),
    "sex-missing": gettext_noop("No sex is recorded, and {paper} limits sexes."),
    "life-stage": gettext_noop("The life stage ({stages}) is not among those of {paper}."),
    "life-stage-mixed": gettext_noop("Not all of the life stages ({stages}) are among those of {paper}."),
    "life-stage-missing": gettext_noop("No life stage is recorded, and {paper} limits life stages."),
    "cap-breached": gettext_noop(
        "At least {measure} were counted under {paper} before this one; its limit is {against}."
    ),
    "cap-possible": gettext_noop(
        "Up to {measure} may have been counted under {paper} by then; its limit is {against}."
    ),
    "version-vague": gettext_noop("The date touches several versions of {paper}, and they do not agree."),
    "radius-assumed": gettext_noop(
        "Covered on an assumed radius of {reach}: how well the position is known is not recorded."
    ),
    "datum-assumed": gettext_noop("Covered on an assumed datum: an allowance is part of the radius of {reach}."),
    "count-assumed": gettext_noop("Covered on a count of one: no count is recorded."),
    "by-name": gettext_noop("Covered by the name of the place alone."),
    "place-not-stated": gettext_noop("Covered with the issuer's jurisdiction as area: {paper} lists no place."),
    "supervision-not-evidenced": gettext_noop(
        "Covered as an assistant of a person named: that they were supervised is not evidenced."
    ),
}
"""A template a code; the words in braces are made by ``Explainer``."""

_DID = {
    Layer.EXPORT: gettext_noop("Exported"),
    Layer.IMPORT: gettext_noop("Imported"),
    Layer.CITES: gettext_noop("Crossed the border"),
    Layer.TRANSFER: gettext_noop("Transferred"),
}
_TO_BE_DONE = {
    Layer.EXPORT: gettext_noop("Export planned"),
    Layer.IMPORT: gettext_noop("Import planned"),
    Layer.CITES: gettext_noop("Crossing of the border planned"),
    Layer.TRANSFER: gettext_noop("Transfer planned"),
}


@dataclass(frozen=True)
class Tense:
    """How sentences speak of the material. did: by layer, else otherwise: what was, or is to be, done with it."""

    did: Mapping[Layer, str]
    otherwise: str


TAKEN = Tense(_DID, gettext_noop("Collected"))
PLANNED = Tense(_TO_BE_DONE, gettext_noop("Planned for"))
"""Of material that is not taken yet."""
COLLECTING_DATE = gettext_noop("collecting date")
_DAY = {
    Layer.EXPORT: gettext_noop("day of export"),
    Layer.IMPORT: gettext_noop("day of arrival"),
    Layer.CITES: gettext_noop("day of crossing the border"),
    Layer.TRANSFER: gettext_noop("day of transfer"),
}


OPEN_WORDS = ("name", "when", "hint", "where", "country", "reach", "methods", "people")
"""Words of the specimen that ``Explainer.left_open`` keeps in braces, for ``fill``."""

BY_RULES = gettext_noop("By the rules on file this layer was not required.")
BY_DECISION = gettext_noop(
    "By a decision on file this layer needs no paper; its reason and evidence stand with the decision."
)
"""Why a layer is not required; the engine itself does not tell the two apart, whoever feeds it with decisions can."""

NO_PLACE = gettext_noop(
    "{paper} lists no place and names no jurisdiction, so there is no area to hold the point against."
)
"""What ``place-not-stated`` means where it leaves the place open."""

AND = gettext_noop(" and ")
NEAREST = gettext_noop(", {measure} from the nearest valid day")
DEPTH = gettext_noop(", {measure} from its edge")
BOUNDARY = gettext_noop(", the boundary to {reach}")
"""Pieces that stand in some sentences, by their word in braces: ``{nearest}``, ``{depth}``, ``{boundary}``."""

WORDS = {
    "did": (TAKEN.otherwise, PLANNED.otherwise, *_DID.values(), *_TO_BE_DONE.values()),
    "day": (COLLECTING_DATE, *_DAY.values()),
    "covers": (gettext_noop("covers"), gettext_noop("together cover")),
    "side": (gettext_noop("inside"), gettext_noop("outside")),
    "inside": (gettext_noop("some"),),
    "measure": (gettext_noop("an unknown number"),),
    "against": (gettext_noop("days without end"),),
    "where": (gettext_noop("none given"),),
    "name": (gettext_noop("a specimen without a name"),),
    "paper": (gettext_noop("the paper"),),
}
"""By word of a template what may stand there that is no number and was written by nobody."""

Explained = list[tuple[Finding, str]]
"""Findings, each with its sentence."""

Words = dict[str, str]
"""What stands for the words in braces of a template."""


class Explainer:
    """Makes the sentences of an assessment; the words of a paper, an event and a kind are made once each."""

    def __init__(
        self,
        material: Material,
        assessment: Assessment,
        house: HouseRules,
        outline_error_m: float = Outlines.boundary_error_m,
        tense: Tense = TAKEN,
    ) -> None:
        self._tense = tense
        self._outline_error_m = outline_error_m
        self._material = material
        self._assessment = assessment
        self._reach_m = Shapes(material.places, house).reach_m.tolist()
        self._words: dict[tuple[str, int, int], Words] = {}

    def every(self, column: int) -> list[Explained]:
        """The findings with their sentences of every outcome of the layer in a column of the assessment."""
        outcomes = self._assessment.outcomes[column]
        return [self._explain(column, n, findings) for n, findings in enumerate(outcomes.every_finding())]

    def one(self, column: int, outcome: int) -> Explained:
        """The findings of one outcome with their sentences; one without finding if there is none."""
        return self._explain(column, outcome, self._assessment.outcomes[column].findings(outcome))

    def left_open(self, column: int, outcome: int) -> Explained:
        """As ``one``, with the words of the specimen in braces (``OPEN_WORDS``), so that many can share a sentence.

        Filled in are the papers and measures, sexes and stages, and on layers that test another day than that of
        collecting also ``when`` and ``hint``. Braces that somebody wrote are doubled, as ``str.format`` wants them.
        """
        outcomes = self._assessment.outcomes[column]
        event, kind, verdict = (int(c[outcome]) for c in (outcomes.event, outcomes.kind, outcomes.verdict))
        closed = dict(self._paper_words(column, int(outcomes.editions[outcome])))
        if kind != NONE:
            closed |= self._kind_words(column, kind)
        is_open = set(OPEN_WORDS)
        if event != NONE and self._assessment.layers[column] in _DID:
            closed |= self._event_words(column, event, closed["paper_kind"])
            is_open -= {"when", "hint"}
        words = {word: escaped(text) for word, text in closed.items()} | {word: f"{{{word}}}" for word in is_open}
        findings = outcomes.findings(outcome) or (Finding(""),)
        return [(finding, _sentence(finding, words, verdict)) for finding in findings]

    def _explain(self, column: int, outcome: int, findings: tuple[Finding, ...]) -> Explained:
        """The sentences of one outcome, in the order of its findings."""
        outcomes = self._assessment.outcomes[column]
        verdict = outcomes.verdict[outcome]
        words = self._paper_words(column, int(outcomes.editions[outcome]))
        event, kind = int(outcomes.event[outcome]), int(outcomes.kind[outcome])
        if event != NONE:
            words = words | self._event_words(column, event, words["paper_kind"])
        if kind != NONE:
            words = words | self._kind_words(column, kind)
        return [(finding, _sentence(finding, words, verdict)) for finding in findings or (Finding(""),)]

    def _paper_words(self, column: int, edition_set: int) -> Words:
        """Words that depend on the papers and the layer."""
        key = ("paper", column, edition_set)
        if key not in self._words:
            outcomes, layer = self._assessment.outcomes[column], self._assessment.layers[column]
            editions = [outcomes.edition_table[n] for n in outcomes.edition_sets[edition_set]]
            papers = [self._assessment.papers[edition.paper] for edition in editions]
            self._words[key] = {
                "paper": AND.join(paper.reference for paper in papers) or "the paper",
                "paper_kind": papers[0].kind if papers else "",
                "boundary": self._boundary(papers, editions),
                "covers": "covers" if len(papers) == 1 else "together cover",
                "did": self._tense.did.get(layer, self._tense.otherwise),
                "day": _DAY.get(layer, COLLECTING_DATE),
            }
        return self._words[key]

    def _boundary(self, papers: Sequence[Paper], editions: Sequence[Edition]) -> str:
        """How well the boundaries of the papers' places are known, "" where they are taken as exact."""
        errors = [
            item_error_m(item, self._outline_error_m)
            for paper, edition in zip(papers, editions, strict=True)
            for version in edition.versions
            for item in (*version.include_places, *version.exclude_places) or (PlaceItem(country=paper.jurisdiction),)
        ]
        largest = max(errors, default=0.0)
        return BOUNDARY.format(reach=f"±{distance(largest)}") if largest else ""

    def _event_words(self, column: int, event: int, paper_kind: str) -> Words:
        """Words of when, where, how and by whom; the kind of paper decides which day is meant."""
        key = (f"event {paper_kind}", column, event)
        if key not in self._words:
            events, material = self._assessment.outcomes[column].events, self._material
            date, place = int(events.date_for(paper_kind)[event]), int(events.place[event])
            self._words[key] = {
                **day_words(material.dates, date),
                **place_words(material.places, place, self._reach_m[place]),
                "methods": ", ".join(material.methods[events.methods[event]]),
                "people": ", ".join(material.people[events.people[event]]),
            }
        return self._words[key]

    def _kind_words(self, column: int, kind: int) -> Words:
        """Words of the name, the sex and the stage."""
        key = ("kind", column, kind)
        if key not in self._words:
            kinds, material = self._assessment.outcomes[column].kinds, self._material
            self._words[key] = {
                "name": name_word(material.taxa, int(kinds.taxon[kind])),
                "sexes": ", ".join(material.sexes[kinds.sexes[kind]]),
                "stages": ", ".join(material.life_stages[kinds.life_stages[kind]]),
            }
        return self._words[key]


def _sentence(finding: Finding, words: Words, verdict: int) -> str:
    """The template of the code, filled; two codes mean something else on another verdict."""
    if not finding.code and verdict == Verdict.NOT_REQUIRED:
        return BY_RULES
    if finding.code == "place-not-stated" and verdict != Verdict.COVERED:
        return NO_PLACE.format_map(words)
    return TEMPLATES[finding.code].format_map(words | _measures(finding))


def day_words(dates: Dates, date: int) -> Words:
    """Words of a date."""
    hint = dates.hint[date]
    return {"when": _quoted(dates.text[date]), "hint": f": {hint}" if hint else ""}


def place_words(places: Places, place: int, reach_m: float) -> Words:
    """Words of a place. reach_m: how far off it may be, as ``Shapes`` reckons it."""
    text = places.text[place]
    return {
        "where": _quoted(text) if text else "none given",
        "country": places.country[place],
        "reach": f"±{distance(reach_m)}",
    }


def name_word(taxa: Taxa, taxon: int) -> str:
    """A name as written."""
    return taxa.text[taxon] or "a specimen without a name"


def escaped(text: str) -> str:
    """Braces doubled, so that ``fill`` gives the text back.

    >>> fill(escaped("net {A}") + " by {people}", {"people": "{B}"})
    'net {A} by {B}'
    """
    return text.replace("{", "{{").replace("}", "}}")


def fill(sentence: str, words: Words) -> str:
    """A sentence that was left open, with the words of a specimen."""
    return sentence.format_map(words)


def _quoted(text: str, longest: int = 60) -> str:
    """Text as written, shortened where somebody wrote a novel; plain dates stand without quotation marks."""
    shown = text if len(text) <= longest else text[: longest - 3] + "..."
    return shown if all(c.isdigit() or c in "-/:.TZ+" for c in shown) else f'"{shown}"'


def _measures(finding: Finding) -> Words:
    """The words that a finding itself gives."""
    measure, against = finding.measure, finding.against
    amount = quantity(abs(measure), finding.unit) if measure is not None else "an unknown number"
    return {
        "measure": amount,
        "inside": "some" if measure is None else f"{measure:.0f}",
        "against": quantity(against, finding.unit) if against is not None else "days without end",
        "nearest": "" if measure is None else NEAREST.format(measure=amount),
        "depth": "" if measure is None else DEPTH.format(measure=amount),
        "side": "inside" if measure is not None and measure < 0 else "outside",
    }


def quantity(value: float, unit: str) -> str:
    """A number with its unit, in words.

    >>> quantity(1, "days"), quantity(3, "days"), quantity(12_345.0, "m")
    ('1 day', '3 days', '12.3 km')
    """
    if unit == "m":
        return distance(value)
    noun = {"days": "day", "individuals": "individual"}.get(unit, unit)
    return f"{value:.0f} {noun}" + ("" if value == 1 or not noun else "s")


def distance(metres: float) -> str:
    """Metres up to 10 km, with a tenth below 10 m; kilometres beyond.

    >>> distance(412.4), distance(12_345.0)
    ('412 m', '12.3 km')
    >>> distance(0.0), distance(0.11), distance(9.0)
    ('0 m', '0.1 m', '9 m')
    """
    if metres < 10:
        return f"{max(metres, 0.1) if metres else 0:.1f}".removesuffix(".0") + " m"
    return f"{metres:.0f} m" if metres < 10_000 else f"{metres / 1000:.1f} km"
