"""A holding and its papers for the bench of answers, everything made up from one seed.

A tenth of the clauses ask for duties, a tenth ask first, a twentieth forbid, a tenth are silent, a twentieth are
unread; the rest allow. A tenth of the material has no settled footing. Clauses have no conditions, which the peers know
nothing of.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from governance.engine.tables import Verdict
from governance.engine.uses import (
    Asked,
    Holding,
    Listed,
    PaperTerms,
    Policy,
    Question,
    Said,
    Silence,
    Term,
    Use,
    VersionTerms,
)

DAY = 739_000
ASKED = (Use.LOAN_AT_HOME, Use.SEQUENCING, Use.PUBLISHING_SEQUENCES)
_SAID = (Said.ALLOWED, Said.WITH_DUTIES, Said.ASK_FIRST, Said.NOT_ALLOWED, Said.SILENT, None)
_SHARES = (0.60, 0.10, 0.10, 0.05, 0.10, 0.05)


@dataclass(frozen=True)
class UsesWorld:
    papers: list[PaperTerms]
    holding: Holding
    question: Question


def make_uses_world(specimens: int, papers: int = 300, sets: int = 500, parts: int = 0, seed: int = 1) -> UsesWorld:
    """parts: how many of the specimens were taken from another one, and have its papers and its footing."""
    draw = np.random.default_rng(seed)
    linked: dict[frozenset[int], None] = {}
    while len(linked) < sets:
        linked[frozenset(draw.choice(papers, int(draw.integers(1, 8)), replace=False).tolist())] = None
    of = draw.integers(0, sets, specimens).astype(np.int32)
    footing = (Verdict.COVERED, Verdict.NOT_REQUIRED, Verdict.CANNOT_TELL, Verdict.OUTSIDE)
    verdict = draw.choice(np.array(footing, np.int32), specimens, p=(0.6, 0.3, 0.05, 0.05))
    taken = np.arange(specimens - parts, specimens)
    parents = draw.integers(0, specimens - parts, parts)
    of[taken], verdict[taken] = of[parents], verdict[parents]
    holding = Holding(
        of, tuple(linked), verdict, np.full(specimens, Listed.NO, np.uint8),
        np.stack([taken, parents], axis=1).astype(np.int32), np.arange(specimens, dtype=np.int32),
    )  # fmt: skip
    question = Question([Asked(use, DAY) for use in ASKED], Policy(Silence({(Use.LOAN_AT_HOME, ""): 0})))
    return UsesWorld([_paper(number, draw) for number in range(papers)], holding, question)


def _paper(number: int, draw: np.random.Generator) -> PaperTerms:
    said = {use: _SAID[int(draw.choice(len(_SAID), p=_SHARES))] for use in ASKED}
    terms = {use: Term(one) for use, one in said.items() if one is not None}
    return PaperTerms(f"P-{number:03}", "collecting-permit", (VersionTerms(None, terms),))
