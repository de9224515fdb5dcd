"""The bench of plans and the slow twin of the engine say the same of whole generated plans.

The papers are those of generated registers; the plans are made here. It cannot show that a plan is written as the rows
that it means (tests/integration/plans), nor that both readings of the contract are right (tests/spec).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from governance.engine import reference
from governance.engine.tables import Covers, Layer, LayerVerdict
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow
from tests.factories.benches import a_bench
from tests.generative.agreement import same_verdict
from tests.generative.registers import FLAVOURS, Register

_NAMES = ("Odonata", "Libellulidae", "Sympetrum striolatum", "Sympetrum danae", "Diptera", "")
_LINEAGES = (
    "Animalia>Odonata>Libellulidae>Sympetrum>Sympetrum striolatum",
    "Animalia>Odonata>Libellulidae>Sympetrum>Sympetrum danae",
    "Animalia>Diptera>Syrphidae>Eristalis>Eristalis tenax",
)  # fmt: skip


def a_plan(random: Random, register: Register) -> list[PlannedRow]:
    """One to three stops, each with one or two ways and groups; places about those of the register's specimens."""
    places, dates = register.material.places, register.material.dates
    rows = []
    for stop in range(1, random.randint(1, 3) + 1):
        place = random.randrange(len(places))
        cells = {"countryCode": places.country[place], "geodeticDatum": "EPSG:4326"}
        longitude, latitude = float(places.longitude_deg[place]), float(places.latitude_deg[place])
        if longitude == longitude and random.random() < 0.8:
            radius = random.choice(("", "30.0", "900.0"))
            cells |= {"decimalLongitude": f"{longitude:.6f}", "decimalLatitude": f"{latitude:.6f}"}
            cells |= {"coordinateUncertaintyInMeters": radius}
        if places.sites[place]:
            cells["locationID"] = places.sites[place][0]
        day = int(dates.earliest[random.randrange(len(dates))])
        first = date.fromordinal(day) if 700_000 < day < 760_000 else date(2023, 5, 1)
        for target in range(random.randint(1, 2)):
            for way in range(random.randint(1, 2)):
                start = first + timedelta(random.randint(0, 3))
                end = random.choice((start, start + timedelta(random.randint(0, 40)), None))
                rows.append(
                    PlannedRow(
                        plan=1, stop=stop, target=target, name=random.choice(_NAMES), counts=way == 0,
                        expected=random.choice(("3", "2-9", "", "12")), first_on=start, last_on=end,
                        method=random.choice(("hand net", "light trap", "")),
                        people=random.choice(("A. Person", "B. Other", "")),
                        place=tuple(cells.items()), home=(("exportedOn", start.isoformat()), ("importedOn", "")),
                    )
                )  # fmt: skip
    return rows


def judged(seed: int, flavour: str, monkeypatch: pytest.MonkeyPatch) -> list[tuple[Layer, LayerVerdict, LayerVerdict]]:
    """Of every row and layer what the bench says, and what the twin says."""
    random = Random(seed)
    register = FLAVOURS[flavour](random)
    papers = [replace(paper, covers=Covers(all_accessions=True)) for paper in register.papers]
    rows = a_plan(random, register)
    requirements = replace(register.requirements, decided=frozenset())
    bench = a_bench(
        monkeypatch, papers, requirements, register.outlines, register.house, names=_LINEAGES, rows=rows
    )  # fmt: skip
    material, first = bench.material(rows)
    twin = reference.judge(material, bench.papers, requirements, register.outlines, register.house)[first:]
    answers = bench.judge(rows, requirements.layers)
    return [
        (answer.layer, _spelled_out(answer), verdicts[answer.layer])
        for row, verdicts in zip(answers, twin, strict=True)
        for answer in row
    ]


def _spelled_out(answer: Answer) -> LayerVerdict:
    return LayerVerdict(
        answer.verdict, tuple(used.pk - 1 for used in answer.papers), tuple(used.versions for used in answer.papers),
        tuple(finding for finding, _ in answer.findings),
    )  # fmt: skip


@pytest.mark.parametrize("flavour", ["plain", "caps"])
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 2**32 - 1))
def test_bench_and_twin_agree(flavour: str, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    for layer, bench, twin in judged(seed, flavour, monkeypatch):
        assert same_verdict(bench, twin), f"{flavour} plan {seed}, {layer.code}:\nbench {bench}\ntwin  {twin}"


def test_plans_are_worth_comparing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 150 seeds every verdict but not-required comes, and numbers that are too many."""
    verdicts: Counter[str] = Counter()
    codes: Counter[str] = Counter()
    for seed in range(150):
        for _, bench, _ in judged(seed, ("plain", "caps")[seed % 2], monkeypatch):
            verdicts[bench.verdict.code] += 1
            codes.update(finding.code for finding in bench.findings)
    assert min(verdicts[v] for v in ("covered", "cannot-tell", "straddles", "outside", "missing")) >= 3, verdicts
    assert codes["cap-possible"] >= 3 and codes["area-edge"] >= 3, codes
