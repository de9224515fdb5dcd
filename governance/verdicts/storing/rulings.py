"""Outcomes and rulings kept once by their content: only new ones are written, and never changed afterwards."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence

import numpy as np
from django.db import transaction

from governance.engine.distinct import distinct
from governance.engine.tables import IntColumn, LongColumn
from governance.verdicts.feed.rows import select_by_keys, slices
from governance.verdicts.storing.bulk import insert_new
from governance.verdicts.storing.contents import Contents, OutcomeContent

_AT_ONCE = 5_000


def store_rulings(contents: Contents) -> LongColumn:
    """Keep what is new; returns the key of each specimen's ruling, int64, shape (n_specimens,)."""
    if not len(contents.of_specimen):
        return np.zeros(0, np.int64)
    outcome_ids = _store_outcomes(contents.outcomes)
    example, number = _distinct_rows(contents.of_specimen)
    rows = contents.of_specimen[example].tolist()
    ids = np.array(_store(rows, contents.outcomes, outcome_ids), np.int64)
    return ids[number]


def _distinct_rows(table: IntColumn) -> tuple[IntColumn, IntColumn]:
    """Distinct rows, column by column so that the numbers stay small."""
    columns = [np.unique(table[:, column], return_inverse=True)[1].reshape(-1) for column in range(table.shape[1])]
    return distinct([column.astype(np.int32) for column in columns])


def _store_outcomes(outcomes: Sequence[OutcomeContent]) -> list[int]:
    """Keys of the outcomes, in their order."""
    known = _known("verdicts_outcome", (outcome.digest for outcome in outcomes))
    new = [outcome for outcome in outcomes if outcome.digest not in known]
    for some in slices(new, _AT_ONCE):
        with transaction.atomic():
            _insert_outcomes(some)
    known |= _known("verdicts_outcome", (outcome.digest for outcome in new))
    return [known[outcome.digest] for outcome in outcomes]


def _known(table: str, digests: Iterable[str]) -> dict[str, int]:
    """By digest the keys of the rows that are there."""
    return dict(select_by_keys(f"SELECT digest, id FROM {table} WHERE digest IN", digests))


def _insert_outcomes(outcomes: Sequence[OutcomeContent]) -> None:
    """Outcomes with their papers and findings, in one transaction: an outcome that is there is whole."""
    insert_new(
        "verdicts_outcome", ("digest", "layer", "verdict"), (str, int, int),
        [(o.digest, o.layer, o.verdict) for o in outcomes],
    )  # fmt: skip
    ids = _known("verdicts_outcome", (outcome.digest for outcome in outcomes))
    insert_new(
        "verdicts_outcomepaper",
        ("outcome_id", "position", "paper_id", "reference", "versions"),
        (int, int, int, str, dict),
        [
            (ids[o.digest], place, p.paper, p.reference, json.dumps(p.versions))
            for o in outcomes
            for place, p in enumerate(o.papers)
        ],
    )
    insert_new(
        "verdicts_outcomefinding",
        ("outcome_id", "position", "code", "measure", "against", "unit", "sentence"),
        (int, int, str, float, float, str, str),
        [
            (ids[o.digest], place, f.code, f.measure, f.against, f.unit, sentence)
            for o in outcomes
            for place, (f, sentence) in enumerate(o.findings)
        ],
    )


def _store(rows: Sequence[Sequence[int]], outcomes: Sequence[OutcomeContent], outcome_ids: Sequence[int]) -> list[int]:
    """Keys of the rulings of rows of outcome numbers."""
    digests = [_digest(outcomes[n].digest for n in row) for row in rows]
    known = _known("verdicts_ruling", digests)
    new = [(digest, row) for digest, row in zip(digests, rows, strict=True) if digest not in known]
    for some in slices(new, _AT_ONCE):
        with transaction.atomic():
            _insert_rulings(some, outcomes, outcome_ids)
    known |= _known("verdicts_ruling", (digest for digest, _ in new))
    return [known[digest] for digest in digests]


def _digest(digests: Iterable[str]) -> str:
    return hashlib.sha256(" ".join(digests).encode()).hexdigest()


def _insert_rulings(
    rulings: Sequence[tuple[str, Sequence[int]]], outcomes: Sequence[OutcomeContent], outcome_ids: Sequence[int]
) -> None:
    verdicts = [[outcomes[n].verdict for n in row] for _, row in rulings]
    insert_new(
        "verdicts_ruling", ("digest", "strip", "worst"), (str, str, int),
        [(digest, "".join(map(str, own)), max(own)) for (digest, _), own in zip(rulings, verdicts, strict=True)],
    )  # fmt: skip
    ids = _known("verdicts_ruling", (digest for digest, _ in rulings))
    insert_new(
        "verdicts_rulinglayer", ("ruling_id", "outcome_id", "layer"), (int, int, int),
        [(ids[digest], outcome_ids[n], outcomes[n].layer) for digest, row in rulings for n in row],
    )  # fmt: skip
