"""The cases of the tables as the engine judges them, one record of a case at a time, with the engine's sentences."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from governance.engine import assess
from governance.engine.explain import BY_DECISION, Explained, Explainer
from governance.engine.tables import HouseRules, Layer, Material, Paper, SearchState, Verdict
from tests.factories.engine import a_material, a_paper, some_outlines, some_requirements
from tests.spec.test_spec import CASES, Case

PAPERS = [f"Paper {letter}" for letter in "ABCDEFGH"]

WRITTEN: Mapping[str, str] = {"illegible": "1?.VI.23", "conflict": "2023-05-01", "invalid": "95.2, 14.3"}
"""What the notation has a word for, as it might be written on a label."""

DEFAULTS: Mapping[str, Any] = {
    "date": "2023-05-01", "place": [-84.1, 9.9, 30], "taxon": "Animalia>Odonata>Libellulidae>Sympetrum", "count": 1,
}  # fmt: skip
"""What a record of the notation has where the case does not say otherwise."""

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Judged:
    """A case and what the engine says of one of its records.

    place: of the case in its table. shown: the record. is_odd: its papers are not those of the rule.
    """

    case: Case
    place: int
    rows: Sequence[Row]
    shown: int
    layer: Layer
    verdict: Verdict
    by: Sequence[str]
    explained: Explained
    is_odd: bool

    @property
    def name(self) -> str:
        """The case; and the record, where it is not the first."""
        return f"{self.case}#{self.shown + 1}" if self.shown else str(self.case)

    @property
    def section(self) -> str:
        return str(self.case.rule["section"]).partition(".")[0]

    @property
    def rule(self) -> str:
        return str(self.case.rule["rule"])

    @property
    def codes(self) -> list[str]:
        return [finding.code for finding, _ in self.explained if finding.code]

    @property
    def papers(self) -> Sequence[Row]:
        return self.case.rule.get("papers", [{}])  # type: ignore[no-any-return]

    @property
    def is_drawn(self) -> bool:
        """Whether a shape of many corners takes part, which no line of facts can tell."""
        return "wkt" in str(self.papers) or "POLYGON" in str(self.rows)

    @property
    def is_about_nothing(self) -> bool:
        """Whether what was measured is 0: such a sentence is true and tells little."""
        return any(finding.measure == 0 for finding, _ in self.explained)

    @property
    def plainness(self) -> tuple[Any, ...]:
        """The less, the plainer: one reason, no drawn shape, one record, few papers, little said; then their order."""
        has_odd_day = any(mark in str(row.get("date", "")) for row in self.rows for mark in ("?", "~", "%", ".."))
        is_open = any("start" in paper and "end" not in paper for paper in self.papers)
        said = sum(len(row) for row in (*self.rows, *self.papers)) + 2 * len(self.case.rule.get("rules") or ())
        many_versions = any(len(paper.get("versions") or [{}]) > 1 for paper in self.papers)
        return (
            len(self.codes) > 1, self.is_drawn, self.is_about_nothing, self.is_odd, has_odd_day, is_open,
            self.layer is not Layer.COLLECTING, len(self.rows), len(self.papers) > 1, many_versions,
            "countries" in self.case.rule, said, self.place, self.shown,
        )  # fmt: skip


def judged_cases() -> Iterator[Judged]:
    """Every record of every case; of records that come out alike in one case, the first."""
    usual = _usual_papers()
    for place, case in enumerate(CASES):
        base = case.rule.get("specimen", {})
        rows = [{**base, **row} for row in case.rule.get("specimens", [{}])]
        seen = set[Any]()
        for one in _judged(case, place, rows, usual[case.rule["rule"]]):
            key = (one.verdict, str(one.explained))
            if key not in seen:
                seen.add(key)
                yield one


def _usual_papers() -> Mapping[str, str]:
    """The papers of most cases of each rule, as text."""
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for case in CASES:
        counts[case.rule["rule"]][str(case.rule.get("papers"))] += 1
    return {rule: papers.most_common(1)[0][0] for rule, papers in counts.items()}


def _judged(case: Case, place: int, rows: Sequence[Row], usual: str) -> Iterator[Judged]:
    rule = case.rule
    is_odd = str(rule.get("papers")) != usual
    code = rule.get("layer", "collecting")
    layer = Layer.from_code(code)
    papers = [_paper(row, number, code) for number, row in enumerate(rule.get("papers", [{}]))]
    material = _as_written(a_material(rows), rows)
    house = HouseRules(**rule.get("house", {}))
    assessment = assess(
        material, papers, some_requirements(code, rule.get("rules"), rule.get("decided", ())),
        some_outlines(rule.get("countries"), rule.get("subdivisions")), house,
        SearchState[rule.get("search", "not-searched").upper().replace("-", "_")],
    )  # fmt: skip
    explainer = Explainer(material, assessment, house)
    for number in range(len(rows) if isinstance(rule["expect"], list) else 1):
        outcome = int(assessment.outcome[number, 0])
        spelled = assessment.outcomes[0].spelled_out(outcome)
        explained = explainer.one(0, outcome)
        if spelled.verdict is Verdict.NOT_REQUIRED and rule.get("decided"):
            explained = [(finding, BY_DECISION) for finding, _ in explained]
        by = [PAPERS[row] for row in spelled.papers]
        yield Judged(case, place, rows, number, layer, spelled.verdict, by, explained, is_odd)


def _paper(row: Row, number: int, layer: str) -> Paper:
    return a_paper(**{"layers": layer, **row, "reference": PAPERS[number]})


def _as_written(material: Material, rows: Sequence[Row]) -> Material:
    """The material with the texts that a register keeps beside what it reads, for the words of sentences."""
    columns = ("date", "exported", "imported", "transferred")
    dates = [str(row.get(column, DEFAULTS.get(column, ""))) for column in columns for row in rows]
    return replace(
        material,
        dates=replace(material.dates, text=[WRITTEN.get(text, text) for text in dates]),
        places=replace(material.places, text=[place_text(row.get("place", DEFAULTS["place"])) for row in rows]),
        taxa=replace(material.taxa, text=[lowest_name(str(row.get("taxon", DEFAULTS["taxon"]))) for row in rows]),
    )


def place_text(place: Any) -> str:
    """Latitude and longitude as a label has them."""
    if isinstance(place, str):
        return WRITTEN.get(place, "")
    return ", ".join(f"{number:g}" for number in place[1::-1])


def lowest_name(path: str) -> str:
    """The name itself, of a path of names."""
    return path.rpartition(">")[2].rpartition(":")[2].strip()
