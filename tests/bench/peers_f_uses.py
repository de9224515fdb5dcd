"""Peers F and G, scripts for the answers of the use desk: the strictest over a specimen's papers, and no reason for it.

F goes specimen by specimen over its papers and the uses that are asked for. G is what a practitioner with pandas would
write: a table of (set, paper) joined with the clauses, the strictest of each set, and one join to the specimens.
Neither knows of conditions, versions, days, replies, parts and pools, limits, the way there, or whose silence decides.
"""

from __future__ import annotations

from typing import Any

from governance.engine.tables import Verdict
from governance.engine.uses import Answer, Said
from tests.bench.uses_world import UsesWorld

_OF_SAID = {
    Said.ALLOWED: Answer.ALLOWED, Said.WITH_DUTIES: Answer.WITH_DUTIES, Said.ASK_FIRST: Answer.ASK_FIRST,
    Said.NOT_ALLOWED: Answer.NOT_ALLOWED,
}  # fmt: skip
_SETTLED = (Verdict.COVERED, Verdict.NOT_REQUIRED)


def clauses(world: UsesWorld) -> list[list[int]]:
    """By paper and use that is asked for, the answer of the clause: what both peers are given."""
    found = []
    for paper in world.papers:
        terms = paper.versions[0].terms
        row = []
        for asked in world.question.uses:
            term = terms.get(asked.use)
            read = world.question.policy.silence.reading(asked.use, paper.kind)
            row.append(int(Answer.NOT_KNOWN if term is None else _OF_SAID.get(term.said, read)))
        found.append(row)
    return found


def by_rows(world: UsesWorld, told: list[list[int]]) -> list[int]:
    """Peer F: one answer a specimen."""
    answers = []
    for number in range(len(world.holding.papers)):
        strictest = 0
        for paper in world.holding.sets[world.holding.papers[number]]:
            for answer in told[paper]:
                strictest = max(strictest, answer)
        if world.holding.verdict[number] not in _SETTLED:
            strictest = max(strictest, Answer.NOT_KNOWN)
        answers.append(int(strictest))
    return answers


def by_tables(world: UsesWorld, told: list[list[int]]) -> list[int]:
    """Peer G: one answer a specimen."""
    import pandas as pd

    pairs = pd.DataFrame([(number, paper) for number, papers in enumerate(world.holding.sets) for paper in papers],
                         columns=["set", "paper"])  # fmt: skip
    strictest = pd.DataFrame({"paper": range(len(told)), "answer": [max(row) for row in told]})
    of_set = pairs.merge(strictest, on="paper").groupby("set")["answer"].max()
    rows: Any = pd.DataFrame({"set": world.holding.papers, "verdict": world.holding.verdict})
    answers = rows.merge(of_set.reset_index(), on="set", how="left")["answer"].to_numpy().copy()
    doubtful = ~rows["verdict"].isin([int(one) for one in _SETTLED]).to_numpy()
    answers[doubtful] = answers[doubtful].clip(min=int(Answer.NOT_KNOWN))
    return [int(one) for one in answers.tolist()]
