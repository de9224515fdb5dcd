"""Requirements of countries, and verdicts: runs, what they found, what stands, and what a person decided beside it."""

from governance.verdicts.models.decisions import COUNTING, COUNTING_SQL, WAITING, LayerDecision, Override, Search
from governance.verdicts.models.rules import CountrySheet, HouseRuleSet, SheetRule
from governance.verdicts.models.runs import (
    Outcome,
    OutcomeFinding,
    OutcomePaper,
    Result,
    Ruling,
    RulingLayer,
    Run,
    RunSeal,
    Standing,
)
from governance.verdicts.models.words import LAYERS, SEARCH_STATES, VERDICT_NAMES, VERDICTS

__all__ = [
    "COUNTING",
    "COUNTING_SQL",
    "LAYERS",
    "SEARCH_STATES",
    "VERDICTS",
    "VERDICT_NAMES",
    "WAITING",
    "CountrySheet",
    "HouseRuleSet",
    "LayerDecision",
    "Outcome",
    "OutcomeFinding",
    "OutcomePaper",
    "Override",
    "Result",
    "Ruling",
    "RulingLayer",
    "Run",
    "RunSeal",
    "Search",
    "SheetRule",
    "Standing",
]
