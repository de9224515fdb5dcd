"""Reads the tables of cases of the use desk (tests/spec/uses): a YAML list of rules, with their sources and cases.

A case says what differs from its rule. Its words:

    use: codes of uses with blanks between          recipient, country, commercial, identification, parts: facts told
    papers: a line each; A is the first             silence: "USE KIND READING", any for all of them
    gates: "USE VERDICT ANSWER"                     way: EXPORT IMPORT CITES
    replies: "PAPER USE REPLY"                      before: "PAPER USE NUMBER"
    verdict, listed: of all material                material: rows with papers, from, count; else one row
    asked: numbers of rows from 1; else the first alone counts, and all are asked for

A paper is a line of clauses with semicolons between, " / " between versions: ``kind K``, ``owner O``, ``start DAY``,
``revoked DAY`` and the other ends, ``suspended DAY DAY|-``, ``unread``, or USE SAID and its conditions (``to KIND``,
``in COUNTRY``, ``not-in COUNTRY``, ``non-commercial``, ``identification``, ``most NUMBER``, ``parts WORD``, ``from
DAY``, ``duties``, ``else SAID``).

``expect``: ANSWER: CODE [PAPER] [MEASURE/AGAINST]; ..., the reasons that decide, in the order of the answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from governance.engine.tables import NONE, Verdict
from governance.engine.uses import (
    NOT_HEARD,
    Answer,
    Asked,
    Case,
    Ended,
    Finding,
    Holding,
    Listed,
    Ownership,
    PaperTerms,
    Policy,
    Question,
    RecipientKind,
    Replied,
    Said,
    Silence,
    Term,
    Tri,
    Use,
    VersionTerms,
    Way,
    WayCode,
    holding_of,
)

FOLDER = Path(__file__).parent / "uses"
TODAY = "2026-11-20"

Row = Mapping[str, Any]


@dataclass(frozen=True)
class UseCase:
    """One row of a table, with the rule that it belongs to merged in."""

    name: str
    row: Row

    def __str__(self) -> str:
        return self.name

    def arguments(self) -> tuple[list[PaperTerms], Holding, Question]:
        papers = [_paper("ABCDEFGH"[number], line) for number, line in enumerate(self.row.get("papers", []))]
        return papers, _holding(self.row, len(papers)), _question(self.row)

    @property
    def expected(self) -> str:
        return " ".join(str(self.row["expect"]).split())


def use_cases() -> Iterator[UseCase]:
    for path in sorted(FOLDER.glob("*.yaml")):
        for rule in yaml.load(path.read_text("utf-8"), yaml.BaseLoader):
            shared = {key: value for key, value in rule.items() if key not in ("cases", "rule")}
            for case in rule["cases"]:
                yield UseCase(f"{path.stem} - {rule['rule']} - {case['case']}", {**shared, **case})


def written(case: Case) -> str:
    """The answer and what decides, as a table writes it."""
    reasons = "; ".join(_reason(finding) for finding in case.deciding)
    return f"{case.answer.code}: {reasons}"


def _reason(finding: Finding) -> str:
    paper = "" if finding.paper == NONE else f" {'ABCDEFGH'[finding.paper]}"
    numbers = f" {finding.measure}/{finding.against}" if finding.code.startswith("most-specimens") else ""
    return f"{finding.code}{paper}{numbers}"


def _day(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def _named(enum: Any, word: str) -> Any:
    return enum[word.upper().replace("-", "_")]


_PAPER_WORDS = {"kind", "suspended", "unread", *(one.code for one in Ended)}


def _paper(reference: str, line: str) -> PaperTerms:
    clauses = [clause.split() for clause in line.replace(" / ", ";/;").replace(";", " ; ").split(" ; ")]
    clauses = [clause for clause in clauses if clause]
    of_paper = {clause[0]: clause[1:] for clause in clauses if clause[0] in _PAPER_WORDS}
    ended = next(((_named(Ended, word), _day(of_paper[word][0])) for word in of_paper if word not in
                  ("kind", "suspended", "unread")), None)  # fmt: skip
    versions: list[list[list[str]]] = [[]]
    for clause in clauses:
        if clause == ["/"]:
            versions.append([])
        elif clause[0] not in _PAPER_WORDS:
            versions[-1].append(clause)
    pause = of_paper.get("suspended")
    return PaperTerms(
        reference,
        of_paper.get("kind", ["collecting-permit"])[0],
        () if "unread" in of_paper else tuple(_version(version) for version in versions),
        ended,
        ((_day(pause[0]), None if pause[1] == "-" else _day(pause[1])),) if pause else (),
    )


def _version(clauses: Sequence[Sequence[str]]) -> VersionTerms:
    words = {clause[0]: clause[1:] for clause in clauses}
    start, owner = words.pop("start", None), words.pop("owner", None)
    return VersionTerms(
        _day(start[0]) if start else None,
        {Use.from_code(use): _term(list(said)) for use, said in words.items()},
        _named(Ownership, owner[0]) if owner else Ownership.NOT_SAID,
    )


def _term(words: list[str]) -> Term:
    said, found = _named(Said, words.pop(0)), dict[str, Any]()
    while words:
        word = words.pop(0)
        if word in ("non-commercial", "identification"):
            found[f"{word.replace('-', '_')}_only"] = True
        elif word == "duties":
            found["duties"] = True
        else:
            key, value = _CONDITIONS[word](words.pop(0))
            found[key] = value
    return Term(said, clause="Invented.", **found)


_CONDITIONS: Mapping[str, Any] = {
    "to": lambda text: ("recipients", frozenset({_named(RecipientKind, text)})),
    "in": lambda text: ("only_countries", frozenset({text})),
    "not-in": lambda text: ("not_countries", frozenset({text})),
    "most": lambda text: ("most_specimens", int(text)),
    "parts": lambda text: ("parts", frozenset({text})),
    "from": lambda text: ("not_before_day", _day(text)),
    "else": lambda text: ("otherwise", _named(Said, text)),
}


def _holding(row: Row, n_papers: int) -> Holding:
    material = row.get("material", [{}])
    every = "ABCDEFGH"[:n_papers]
    sets = [one.get("papers", "" if "from" in one else every) for one in material]
    verdict = NONE if row.get("verdict") == "none" else int(_named(Verdict, row.get("verdict", "covered")))
    bounds = [one.get("count", "1").partition("-") for one in material]
    return holding_of(
        [frozenset("ABCDEFGH".index(paper) for paper in papers.replace(" ", "")) for papers in sets],
        [verdict] * len(material),
        [int(_named(Listed, row.get("listed", "no")))] * len(material),
        [(number, int(source) - 1) for number, one in enumerate(material) for source in one.get("from", "").split()],
        [int(one) - 1 for one in row["asked"].split()] if "asked" in row else None,
        [(int(least), int(most or least)) for least, _, most in bounds],
    )


def _question(row: Row) -> Question:
    facts = {
        "recipient": _named(RecipientKind, row["recipient"]) if "recipient" in row else None,
        "country": row.get("country", ""),
        "commercial": _named(Tri, row.get("commercial", "not-told")),
        "identification_only": _named(Tri, row.get("identification", "not-told")),
        "parts": frozenset(part.strip() for part in row.get("parts", "").split(",") if part.strip()),
    }
    gates: dict[Use, dict[Verdict | None, Answer]] = {}
    for use, verdict, told in map(str.split, row.get("gates", [])):
        gates.setdefault(Use.from_code(use), {})[_named(Verdict, verdict)] = _named(Answer, told)
    return Question(
        [Asked(Use.from_code(use), _day(TODAY), **facts) for use in row["use"].split()],
        Policy(_silence(row.get("silence", [])), gates),
        Way(*(_named(WayCode, word) for word in row["way"].split())) if "way" in row else None,
        {(_row(paper), Use.from_code(use)): _named(Replied, reply)
         for paper, use, reply in map(str.split, row.get("replies", []))},
        {(_row(paper), Use.from_code(use)): int(number)
         for paper, use, number in map(str.split, row.get("before", []))},
    )  # fmt: skip


def _row(paper: str) -> int:
    return "ABCDEFGH".index(paper)


def _silence(lines: Sequence[str]) -> Silence:
    readings: dict[tuple[Use | None, str], int] = {}
    for use, kind, reading in map(str.split, lines):
        place = (None if use == "any" else Use.from_code(use)), ("" if kind == "any" else kind)
        readings[place] = NOT_HEARD if reading == "not-heard" else int(_named(Answer, reading))
    return Silence(readings)
