"""Do the peers and the engine say the same? Counts, and the first rows that differ.

python -m tests.bench.compare DIRECTORY    with the answers that ``run`` keeps: a, b, c and engine
"""

from __future__ import annotations

import json
import pickle
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

NEAR_M = 100_000.0
"""The contract, section 4: distances hold to 0.5 % or 1 m up to 100 km, to 1 % beyond."""

Answers = tuple[pd.DataFrame, pd.DataFrame]


def close(left: np.ndarray, right: np.ndarray, metres: np.ndarray) -> np.ndarray:
    """bool: the same within the contract's tolerance for metres, exactly the same for all else; NaN equals NaN."""
    size = np.fmax(np.abs(left), np.abs(right))
    allowed = np.where(metres, np.where(size <= NEAR_M, np.maximum(1.0, 0.005 * size), 0.01 * size), 0.0)
    return (np.isnan(left) & np.isnan(right)) | (np.abs(left - right) <= allowed)


def differences(peer: Answers, engine: Answers) -> dict[str, Any]:
    """Specimens that differ in verdict, paper, codes or measures. ties: another paper, yet the same reasons within
    tolerance, as where two papers are equally far."""
    mine, theirs = (answers[0].sort_values("specimen_id").reset_index(drop=True) for answers in (peer, engine))
    paper = (mine["paper"] != theirs["paper"]).to_numpy()
    count = len(mine)
    verdict = (mine["verdict"].astype(object) != theirs["verdict"].astype(object)).to_numpy()
    codes, measures = _finding_differences(peer[1], engine[1], count)
    other = verdict | codes | measures
    worst = np.flatnonzero(other | paper)[:5]
    return {
        "specimens": count, "verdict": int(verdict.sum()), "codes": int(codes.sum()), "measures": int(measures.sum()),
        "paper": int((paper & other).sum()), "ties": int((paper & ~other).sum()),
        "examples": [_example(int(row), peer, engine) for row in worst],
    }  # fmt: skip


def _finding_differences(peer: pd.DataFrame, engine: pd.DataFrame, count: int) -> tuple[np.ndarray, np.ndarray]:
    """(codes differ, measures differ), bool, one entry a specimen; the nth finding is held against the nth."""
    mine, theirs = (
        rows.assign(nth=rows.groupby("specimen_id", sort=False).cumcount(), code=rows["code"].astype(object))
        for rows in (peer, engine)
    )
    both = mine.merge(theirs, on=["specimen_id", "nth"], how="outer", suffixes=("", "_engine"))
    codes, measures = np.zeros(count, dtype=bool), np.zeros(count, dtype=bool)
    other = (both["code"] != both["code_engine"]).to_numpy()
    codes[both.loc[other, "specimen_id"]] = True
    metres = (both["unit"] == "m").to_numpy()
    same = np.ones(len(both), dtype=bool)
    for column in ("measure", "against"):
        same &= close(both[column].to_numpy(float), both[f"{column}_engine"].to_numpy(float), metres)
    unit = (both["unit"].astype(object) != both["unit_engine"].astype(object)).to_numpy()
    measures[both.loc[~other & (unit | ~same), "specimen_id"]] = True
    return codes, measures


def _example(specimen: int, *answers: Answers) -> list[str]:
    said = []
    for verdicts, findings in answers:
        row = verdicts[verdicts["specimen_id"] == specimen].iloc[0]
        reasons = findings[findings["specimen_id"] == specimen]
        texts = [f"{f.code} {f.measure:.3f} {f.against:.3f} {f.unit}" for f in reasons.itertuples()]
        said.append(f"specimen {specimen}: {row['verdict']} {row['paper']}: {'; '.join(texts)}")
    return said


def covered_by_one(answers: Answers) -> np.ndarray:
    """bool, one entry a specimen: covered, and by a single paper, which is all that peers A and B know."""
    verdicts = answers[0].sort_values("specimen_id")
    alone = ~verdicts["paper"].fillna("").str.contains("|", regex=False)
    return ((verdicts["verdict"] == "covered") & alone).to_numpy()


def main(directory: Path) -> None:
    engine = pickle.loads((directory / "engine.answers").read_bytes())
    alone = covered_by_one(engine)
    covered = (engine[0]["verdict"] == "covered").mean()
    said: dict[str, Any] = {"covered": float(covered), "by_one": int(alone.sum()),
                            "verdicts": engine[0]["verdict"].value_counts().to_dict()}  # fmt: skip
    for peer in ("a", "b"):
        path = directory / f"{peer}.answers"
        if path.exists():
            answer = pickle.loads(path.read_bytes())
            said[peer] = int((answer != alone[: len(answer)]).sum())
    path = directory / "c.answers"
    if path.exists():
        said["c"] = differences(pickle.loads(path.read_bytes()), engine)
    print(json.dumps(said))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
