"""What in the records cannot be right, or is seldom right and should be looked at."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from governance.audit.asking import Question
from governance.audit.questions.quality import days, lacking, material, order, papers, people, places, scans
from governance.audit.questions.quality.rule import Rule, question_of

RULES: Final[tuple[Rule, ...]] = (
    *order.RULES, *days.RULES, *places.RULES, *lacking.RULES, *material.RULES, *people.RULES, *papers.RULES,
    *scans.RULES,
)  # fmt: skip
"""A report that falls due on a holiday is no problem: its written date stands."""

RULE: Final[Mapping[str, Rule]] = {rule.key: rule for rule in RULES}

QUESTIONS: Final[tuple[Question, ...]] = tuple(map(question_of, RULES))
