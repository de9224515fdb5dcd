"""The bench of plans runs, and its peer and the check agree where the peer can tell: a bench of two answers is none."""

from __future__ import annotations

import pytest

from governance.engine.tables import Layer, Verdict
from governance.plans.judging import Answer
from tests.bench.plan_world import fill
from tests.bench.run_plans import subjects

pytestmark = pytest.mark.django_db


def test_peer_and_check_agree() -> None:
    """Whatever the script calls covered the check does, limits apart; and what one paper covers the script does.

    Both say yes often enough, and no.
    """
    ours, peers = subjects(fill(stops=8, papers=18))
    check, covered = ours(), peers()
    answers: dict[int, dict[Layer, Answer]] = {}
    for cell in check.cells.values():
        for answer in cell.answers:
            answers.setdefault(check.rows.index(answer.row), {})[answer.layer] = answer
    said = {True: 0, False: 0}
    for number, layers in enumerate(covered):
        for layer in (Layer.LAND, Layer.COLLECTING, Layer.SPECIES, Layer.PROTECTED_SITE, Layer.ACCESS, Layer.EXPORT):
            answer, is_yes = answers[number][layer], layer.code in layers
            said[is_yes] += 1
            where = f"row {number}, {layer.code}: {answer.verdict.name} {answer.codes}"
            if is_yes:
                assert answer.verdict == Verdict.COVERED or "cap-possible" in answer.codes, where
            else:
                assert answer.verdict != Verdict.COVERED or len(answer.papers) > 1, where
    assert min(said.values()) >= 20, said
