"""Every row of the tables in this folder, by every implementation of the contract.

A table is a YAML file: a list of rules. A rule has a title, the section of the contract, the papers, the specimen as it
is unless a case says otherwise, and its cases. A case has a name, what differs from the rule, and ``expect``:

    VERDICT[: FINDING[; FINDING ...]]        FINDING is: CODE [MEASURE[/AGAINST] UNIT]

"-" is a number that is left blank, "*" one that the row does not speak of. ``named`` gives the papers of the verdict by
reference ("A | B"). Notation of papers and specimens: tests/factories/engine.py. A case with ``specimens`` judges
several together; ``expect`` then lists one for each, or speaks of the first alone.

Expected values come from the contract by hand; what comes from elsewhere says so (``source``). The tables show that the
implementations say what we read in the contract; they cannot show that we read it rightly.
"""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml

from governance.engine import reference
from governance.engine.tables import Finding, HouseRules, Layer, LayerVerdict, SearchState
from tests.factories.engine import a_material, a_paper, some_outlines, some_requirements

FOLDER = Path(__file__).parent
Judgement = list[dict[Layer, LayerVerdict]]
Judge = Callable[..., Judgement]


class TextLoader(yaml.SafeLoader):
    """YAML whose dates, yes and no stay text."""


TextLoader.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in resolvers if tag.rsplit(":")[-1] not in ("timestamp", "bool")]
    for letter, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
TextLoader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile("^(?:true|false)$"), list("tf"))


@dataclass(frozen=True)
class Case:
    """One row, with the rule that it belongs to merged in."""

    name: str
    rule: Mapping[str, Any]

    def __str__(self) -> str:
        return self.name

    def judged_by(self, judge: Judge) -> Judgement:
        rule = self.rule
        base = rule.get("specimen", {})
        rows = [{**base, **row} for row in rule.get("specimens", [{}])]
        layer = rule.get("layer", "collecting")
        papers = [_paper(row, number, layer) for number, row in enumerate(rule.get("papers", [{}]))]
        return judge(
            a_material(rows),
            papers,
            some_requirements(layer, rule.get("rules"), rule.get("decided", ())),
            some_outlines(rule.get("countries"), rule.get("subdivisions")),
            HouseRules(**rule.get("house", {})),
            SearchState[rule.get("search", "not-searched").upper().replace("-", "_")],
        )

    def references(self) -> list[str]:
        return [row.get("reference", "ABCDEFGH"[k]) for k, row in enumerate(self.rule.get("papers", [{}]))]


def _paper(row: Mapping[str, Any], number: int, layer: str) -> Any:
    return a_paper(**{"reference": "ABCDEFGH"[number], "layers": layer, **row})


def cases() -> Iterator[Case]:
    for path in sorted(FOLDER.glob("*.yaml")):
        for rule in yaml.load(path.read_text("utf-8"), TextLoader):
            shared = {key: value for key, value in rule.items() if key != "cases"}
            for case in rule["cases"]:
                merged = {**shared, **{k: v for k, v in case.items() if k not in _SPECIMEN_KEYS}}
                differs = {k: v for k, v in case.items() if k in _SPECIMEN_KEYS}
                merged["specimen"] = {**shared.get("specimen", {}), **differs}
                yield Case(f"{path.stem} - {rule['rule']} - {case['case']}", merged)


_SPECIMEN_KEYS = frozenset(
    {
        "date", "exported", "imported", "transferred", "place", "precision_radius_m", "datum_known", "generalized",
        "country", "subdivision", "site", "centre", "taxon", "qualified", "methods", "people", "sexes", "stages",
        "event", "accession", "catalog", "count",
    }
)  # fmt: skip


def implementations() -> dict[str, Judge]:
    """The twin, and the engine as soon as the package shows it."""
    found: dict[str, Judge] = {"reference": reference.judge}
    engine = importlib.import_module("governance.engine")
    if hasattr(engine, "assess") and hasattr(engine, "unfold"):
        found["engine"] = lambda *material_and_rules: engine.unfold(engine.assess(*material_and_rules))
    return found


IMPLEMENTATIONS = implementations()
CASES = list(cases())


@pytest.mark.parametrize("judge", IMPLEMENTATIONS.values(), ids=IMPLEMENTATIONS)
@pytest.mark.parametrize("case", CASES, ids=str)
def test_row(case: Case, judge: Judge) -> None:
    expected = case.rule["expect"]
    judged = case.judged_by(judge)
    if not isinstance(expected, list):
        judged, expected = judged[:1], [expected]
    layers = [next(iter(verdicts.values())) for verdicts in judged]
    assert len(layers) == len(expected), case
    for got, wanted in zip(layers, expected, strict=True):
        problems = list(differences(got, str(wanted)))
        assert not problems, f"{case}: expected {wanted}; got {written(got)}; {problems}"
    if "named" in case.rule:
        references = case.references()
        assert " | ".join(references[number] for number in layers[0].papers) == case.rule["named"], case


def differences(got: LayerVerdict, wanted: str) -> Iterator[str]:
    """What the verdict differs in from the written one."""
    verdict, _, rest = wanted.partition(": ")
    findings = [x.strip() for x in rest.split(";") if x.strip()]
    if got.verdict.code != verdict:
        yield f"verdict {got.verdict.code}"
    if [f.code for f in got.findings] != [x.split()[0] for x in findings]:
        yield f"findings {[f.code for f in got.findings]}"
        return
    for finding, text in zip(got.findings, findings, strict=True):
        yield from _differs(finding, text)


def _differs(finding: Finding, text: str) -> Iterator[str]:
    code, *rest = text.split()
    numbers, unit = rest if rest else ("-/-", "")
    measure, _, against = numbers.partition("/")
    for what, value, number in (("measure", finding.measure, measure), ("against", finding.against, against or "-")):
        if number != "*" and not _is_near(value, number, unit):
            yield f"{code}: {what} {value}"
    if finding.unit != unit and rest:
        yield f"{code}: unit {finding.unit!r}"


def _is_near(value: float | None, number: str, unit: str) -> bool:
    """Days and individuals exactly; metres to 0.5 % or 1 m, beyond 100 km to 1 % (section 4)."""
    if number == "-" or value is None:
        return value is None and number == "-"
    wanted = float(number)
    if unit != "m":
        return value == wanted
    share = 0.005 if abs(wanted) <= 100_000 else 0.01
    return abs(value - wanted) <= max(1.0, share * abs(wanted))


def written(got: LayerVerdict) -> str:
    findings = (f"{f.code} {f.measure}/{f.against} {f.unit}" for f in got.findings)
    return f"{got.verdict.code}: " + "; ".join(findings)


def test_tables_hold_enough_rows() -> None:
    """A table that is not found or not read must not pass in silence."""
    assert len(CASES) >= 150
    assert len({str(case) for case in CASES}) == len(CASES)


def test_a_wrong_row_would_be_seen() -> None:
    """The comparison itself: a wrong verdict, code, measure or unit is a difference."""
    case = next(case for case in CASES if "days" in str(case.rule["expect"]))
    got = case.judged_by(reference.judge)[0][Layer.COLLECTING]
    right = str(case.rule["expect"])
    assert not list(differences(got, right))
    for wrong in (right.replace("outside", "covered"), right.replace("1 days", "2 days"), right.replace("days", "m")):
        assert wrong == right or list(differences(got, wrong))
