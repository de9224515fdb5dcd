"""The engine on a generated world, and its answers in the frames of peer C."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from .generate import material, papers
from .world import World

if TYPE_CHECKING:
    import pandas as pd

    from governance.engine.outcomes import Assessment, Outcomes


def call(world: World) -> Callable[[], Assessment]:
    """The call that is measured: columns in, verdicts and findings out."""
    from governance.engine.assess import assess
    from governance.engine.tables import HouseRules, Layer, Outlines, Requirements

    columns, listed = material(world), papers(world)
    requirements = Requirements(layers=(Layer.COLLECTING,))
    return lambda: assess(columns, listed, requirements, Outlines(), HouseRules())


def frames_of(assessment: Assessment) -> tuple[pd.DataFrame, pd.DataFrame]:
    """(verdicts: specimen_id, verdict, paper; findings: specimen_id, code, measure, against, unit, in order)."""
    import pandas as pd

    from governance.engine.tables import Verdict

    outcomes, outcome = assessment.outcomes[0], assessment.outcome[:, 0]
    papers_named = _papers_named(assessment, outcomes)
    words = np.array([verdict.code for verdict in Verdict], dtype=object)
    specimen = np.arange(len(outcome), dtype=np.int32)
    verdicts = pd.DataFrame({
        "specimen_id": specimen, "verdict": words[assessment.verdict[:, 0]], "paper": papers_named[outcome],
    })  # fmt: skip
    specimens = pd.DataFrame({"specimen_id": specimen, "outcome": outcome})
    return verdicts, specimens.merge(_findings(outcomes), on="outcome").drop(columns="outcome")


def _papers_named(assessment: Assessment, outcomes: Outcomes) -> np.ndarray:
    """The references of each outcome's papers, joined by " | "; None where it has none."""
    named = [
        " | ".join(assessment.papers[outcomes.edition_table[number].paper].reference for number in numbers) or None
        for numbers in outcomes.edition_sets
    ]
    return np.array(named, dtype=object)[outcomes.editions]


def _findings(outcomes: Outcomes) -> pd.DataFrame:
    import pandas as pd

    from governance.engine.columns import unit_of
    from governance.engine.tables import CODES

    return pd.DataFrame({
        "outcome": np.repeat(np.arange(len(outcomes), dtype=np.int32), np.diff(outcomes.start)),
        "code": np.array(CODES, dtype=object)[outcomes.code],
        "measure": outcomes.measure, "against": outcomes.against,
        "unit": [unit_of(CODES[code]) if measure == measure else "" for code, measure in
                 zip(outcomes.code, outcomes.measure, strict=True)],
    })  # fmt: skip
