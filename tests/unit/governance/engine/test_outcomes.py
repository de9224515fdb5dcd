"""What comes out of an assessment: shapes, dtypes, and that outcomes are shared."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from governance.engine import EngineError, Layer, Verdict, assess, unfold
from governance.engine.tables import Specimens
from tests.factories.engine import a_material, a_paper, some_requirements


def test_shapes_and_types() -> None:
    assessment = assess(a_material([{}, {}]), [a_paper()], some_requirements("collecting land"))
    assert (assessment.verdict.shape, assessment.outcome.shape) == ((2, 2), (2, 2))
    assert (assessment.verdict.dtype, assessment.outcome.dtype) == (np.uint8, np.int32)
    assert assessment.layers == (Layer.COLLECTING, Layer.LAND)


@pytest.mark.parametrize("rows", [[], [{}, {"date": "2022-12-31"}]], ids=["nothing", "two"])
def test_columns_of_outcomes_have_their_types(rows: list[dict[str, str]]) -> None:
    """As the docstring of Outcomes promises: they are stored and indexed as they are."""
    (outcomes,) = assess(a_material(rows), [a_paper()], some_requirements()).outcomes
    types = {name: getattr(outcomes, name).dtype for name in ("verdict", "editions", "event", "kind", "code")}
    assert types == {"verdict": np.uint8, "editions": np.int32, "event": np.int32, "kind": np.int32, "code": np.uint8}
    assert (outcomes.measure.dtype, outcomes.against.dtype) == (np.float64, np.float64)


@pytest.mark.parametrize("links", ["accessions", "sites", "events", "specimens"])
def test_no_specimens(links: str) -> None:
    assessment = assess(a_material([]), [a_paper(covers={links: ["A-1"]})], some_requirements())
    assert assessment.verdict.shape == (0, 1)
    assert unfold(assessment) == []


def test_no_layers() -> None:
    """Nothing was asked: nothing stands against the specimen."""
    assessment = assess(a_material([{}]), [a_paper()], some_requirements(""))
    assert assessment.verdict.shape == (1, 0)
    assert (assessment.worst().tolist(), assessment.worst().dtype) == ([Verdict.COVERED], np.uint8)


def test_no_papers() -> None:
    assessment = assess(a_material([{}]), [], some_requirements())
    assert assessment.worst().tolist() == [Verdict.MISSING]


def test_verdict_of_a_specimen_is_the_worst_of_its_layers() -> None:
    papers = [a_paper("A", layers="land"), a_paper("B", end="2022-12-31", start="2022-01-01")]
    assessment = assess(a_material([{}]), papers, some_requirements("land collecting species"))
    assert assessment.verdict.tolist() == [[Verdict.COVERED, Verdict.OUTSIDE, Verdict.MISSING]]
    assert assessment.worst().tolist() == [Verdict.MISSING]
    assert list(Verdict) == sorted(Verdict)


def test_equal_specimens_share_an_outcome() -> None:
    """The table of outcomes grows with what differs, not with the specimens."""
    material = a_material([{}])
    repeated = {f.name: np.repeat(getattr(material.specimens, f.name), 500) for f in fields(material.specimens)}
    one = assess(material, [a_paper()], some_requirements())
    many = assess(replace(material, specimens=Specimens(**repeated)), [a_paper()], some_requirements())
    assert len(many.outcomes[0]) == len(one.outcomes[0])
    assert len(set(many.outcome[:, 0].tolist())) == 1


def test_outcomes_are_those_of_their_rows() -> None:
    rows = [{"date": "2023-05-01"}, {"date": "2022-12-31"}, {"date": "2023-05-02"}]
    found = [
        verdicts[Layer.COLLECTING] for verdicts in unfold(assess(a_material(rows), [a_paper()], some_requirements()))
    ]
    assert [v.verdict for v in found] == [Verdict.COVERED, Verdict.OUTSIDE, Verdict.COVERED]
    assert [(f.code, f.measure, f.unit) for f in found[1].findings] == [("before-start", 1, "days")]


def test_same_input_gives_the_same_columns() -> None:
    rows = [{"date": f"2023-0{1 + n % 9}-11", "place": (-84.1 + n / 1000, 9.9, 30.0)} for n in range(40)]
    papers = [a_paper(places=["box -84.11 9 -84.07 10"], start="2023-04-01")]
    first, second = (assess(a_material(rows), papers, some_requirements()) for _ in range(2))
    assert first.verdict.tobytes() == second.verdict.tobytes()
    assert first.outcome.tobytes() == second.outcome.tobytes()
    assert unfold(first) == unfold(second)


def test_columns_of_unequal_length_are_refused() -> None:
    dates = a_material([{}]).dates
    with pytest.raises(EngineError, match="differ in length"):
        replace(dates, text=[])


def test_rows_that_point_outside_their_table_are_refused() -> None:
    material = a_material([{}])
    with pytest.raises(EngineError, match="place"):
        replace(material, specimens=replace(material.specimens, place=np.array([7], np.int32)))
