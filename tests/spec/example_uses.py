"""The cases of the use desk as the engine answers them, and as facts that a page can show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from governance.engine.tables import NONE
from governance.engine.uses import Answer, Case, Finding, PaperTerms, Term, Use, VersionTerms, answer
from tests.spec.examples_judged import PAPERS
from tests.spec.uses_cases import TODAY, UseCase, use_cases

Row = dict[str, Any]
_FACTS = ("recipient", "country", "commercial", "identification", "parts", "verdict", "listed")


@dataclass(frozen=True)
class Told:
    """A case and what the engine answers to its first specimen. place: of the case in its table."""

    case: UseCase
    place: int
    told: Case
    papers: list[PaperTerms]

    @property
    def answer(self) -> Answer:
        return self.told.answer

    @property
    def deciding(self) -> list[str]:
        return [finding.code for finding in self.told.deciding]

    @property
    def plainness(self) -> tuple[Any, ...]:
        """The less, the plainer: one reason, one lot of material, one use, few papers, little said; then order."""
        row = self.case.row
        return (
            len(self.told.deciding) > 1, "material" in row, len(row["use"].split()) > 1, len(self.papers),
            len(row), len(str(row.get("papers"))), self.place,
        )  # fmt: skip

    def row(self, code: str) -> Row:
        """One example of the file. code: the reason that it is shown for."""
        row = self.case.row
        rule, _, case = str(self.case).partition(" - ")[2].partition(" - ")
        return {
            "section": "6.2", "rule": rule, "case": case, "source": row["source"], "code": code,
            "uses": row["use"].split(), "day": TODAY,
            "facts": [[key, row[key]] for key in _FACTS if row.get(key)] + list(_lists(row)),
            "papers": [_paper(PAPERS[number], paper) for number, paper in enumerate(self.papers)],
            "answer": self.answer.code, "word": self.told.word.code,
            "findings": [_finding(finding) for finding in self.told.deciding],
        }  # fmt: skip


def told_cases() -> Iterator[Told]:
    """Every case of the tables."""
    for place, case in enumerate(use_cases()):
        papers, holding, question = case.arguments()
        answers = answer(papers, holding, question)
        yield Told(case, place, answers.cases[int(answers.case[0])], papers)


def _lists(row: Mapping[str, Any]) -> Iterator[list[Any]]:
    if "way" in row:
        yield ["way", row["way"].split()]
    for key in ("silence", "gates", "replies", "before"):
        for line in row.get(key, []):
            yield [key, line.split()]
    for number, lot in enumerate(row.get("material", ()), start=1):
        yield ["material", [str(number), lot.get("papers", ""), lot.get("from", ""), lot.get("count", "1")]]


def _paper(reference: str, paper: PaperTerms) -> Row:
    return {
        "reference": reference, "kind": paper.kind,
        "ended": None if paper.ended is None else [paper.ended[0].code, _day(paper.ended[1])],
        "suspended": [[_day(first), None if last is None else _day(last)] for first, last in paper.suspensions],
        "versions": [_version(version) for version in paper.versions],
    }  # fmt: skip


def _version(version: VersionTerms) -> Row:
    start = version.from_day
    return {
        "from": None if start is None else _day(start), "owner": version.ownership.code,
        "terms": [_term(use, term) for use, term in version.terms.items()],
    }  # fmt: skip


def _term(use: Use, term: Term) -> Row:
    return {
        "use": use.code, "said": term.said.code, "recipients": sorted(one.code for one in term.recipients),
        "only_in": sorted(term.only_countries), "not_in": sorted(term.not_countries),
        "non_commercial": term.non_commercial_only, "identification": term.identification_only,
        "most": term.most_specimens, "parts": sorted(term.parts),
        "not_before": None if term.not_before_day is None else _day(term.not_before_day),
        "duties": term.duties, "otherwise": term.otherwise.code,
    }  # fmt: skip


def _finding(finding: Finding) -> Row:
    return {
        "code": finding.code, "answer": finding.answer.code, "use": finding.use.code,
        "paper": None if finding.paper == NONE else finding.paper, "measure": finding.measure,
        "against": finding.against, "is_silent": finding.is_silent,
    }  # fmt: skip


def _day(number: int) -> str:
    return date.fromordinal(number).isoformat()
