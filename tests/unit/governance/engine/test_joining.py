"""Two materials as one: where no limit counts, each is judged as if the other were not there."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from governance.engine import EngineError, assess, unfold
from governance.engine.joining import joined
from governance.engine.tables import Material
from governance.engine.taxa import Classification
from tests.factories.engine import a_material, a_paper, some_requirements
from tests.generative.agreement import same_verdict
from tests.generative.registers import FLAVOURS, Register

SEEDS = st.integers(0, 2**32 - 1)


def register_with_other(seed: int) -> tuple[Register, Material]:
    """A register without limits, and the material of another one with events of its own."""
    register, other = FLAVOURS["plain"](Random(seed)), FLAVOURS["plain"](Random(seed + 1)).material
    papers = [paper for paper in register.papers if not any(version.caps for version in paper.versions)]
    events = [f"other {event}" for event in other.events]
    return register._replace(papers=papers), Material(**{**vars(other), "events": events})


@given(seed=SEEDS)
def test_which_comes_first_does_not_matter(seed: int) -> None:
    """With the classification of both, which names of either may complete."""
    register, other = register_with_other(seed)
    both = joined(register.material, other)
    names = Classification(both.taxa)
    together = unfold(assess(both, *register[1:], classification=names))
    swapped = unfold(assess(joined(other, register.material), *register[1:]))
    first, second = len(register.material.specimens), len(other.specimens)
    assert len(together) == first + second
    for number in range(first + second):
        for layer in register.requirements.layers:
            assert same_verdict(together[number][layer], swapped[(number + second) % (first + second)][layer])


@given(seed=SEEDS)
def test_what_is_joined_changes_nothing(seed: int) -> None:
    """The same names on both sides: nothing is learned from the other material, and nothing else may matter."""
    register, other = register_with_other(seed)
    taxa = register.material.taxa
    taxon = np.minimum(other.specimens.taxon, len(taxa) - 1).astype(np.int32)
    specimens = type(other.specimens)(**{**vars(other.specimens), "taxon": taxon})
    other = Material(**{**vars(other), "taxa": taxa, "specimens": specimens})
    together = unfold(assess(joined(register.material, other), *register[1:]))
    apart = [*unfold(assess(*register)), *unfold(assess(other, *register[1:]))]
    for one, two in zip(together, apart, strict=True):
        assert all(same_verdict(one[layer], two[layer]) for layer in register.requirements.layers)


def test_limits_count_both() -> None:
    """6 and 6 under a limit of 10: apart both are covered, joined the later is one too many."""
    first, second = (
        a_material([{"date": f"2023-05-0{day}", "count": 6, "event": f"E-{day}"}]) for day in (1, 2)
    )  # fmt: skip
    papers, required = [a_paper(caps=[10])], some_requirements()
    codes = [
        [
            [finding.code for finding in verdict.findings]
            for row in unfold(assess(material, papers, required))
            for verdict in row.values()
        ]
        for material in (first, second, joined(first, second))
    ]
    assert codes == [[[]], [[]], [[], ["cap-possible"]]]


def test_one_event_in_both() -> None:
    """Events are told apart by their row: the same number twice would be two events, and is refused."""
    one, other = a_material([{"event": "E-1"}]), a_material([{"event": "E-1"}])
    with pytest.raises(EngineError, match="an event is in both materials"):
        joined(one, other)


def test_blank_stays_blank() -> None:
    one, other = a_material([{"event": ""}]), a_material([{"event": "E-2"}, {"event": ""}])
    assert joined(one, other).specimens.event.tolist() == [-1, 0, -1]
