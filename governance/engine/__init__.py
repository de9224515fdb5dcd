"""The engine of Fieldwrit: facts and papers in, verdicts with reasons out. Pure: no files, no clock, no framework."""

from governance.engine.assess import ENGINE_VERSION, assess
from governance.engine.outcomes import Assessment, Outcomes, unfold
from governance.engine.tables import (
    EngineError,
    Finding,
    HouseRules,
    Layer,
    LayerVerdict,
    Material,
    Outlines,
    Paper,
    Requirements,
    Rule,
    SearchState,
    Verdict,
    fold,
)

__all__ = [
    "ENGINE_VERSION", "Assessment", "EngineError", "Finding", "HouseRules", "Layer", "LayerVerdict", "Material",
    "Outcomes", "Outlines", "Paper", "Requirements", "Rule", "SearchState", "Verdict", "assess", "fold", "unfold",
]  # fmt: skip
