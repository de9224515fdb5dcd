"""How, and of which sex and stage: lists of words against the words of a paper (VERDICTS section 6)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from governance.engine.answers import NO, UNKNOWN
from governance.engine.columns import Column, yes
from governance.engine.tables import IntColumn, Words, fold


def judge_words(rows: IntColumn, lists: Sequence[tuple[str, ...]], words: Words, code: str) -> Column:
    """All words allowed: yes; none: no; some, or a blank list: unknown.

    rows: the rows of lists to judge. code: ``method``, ``sex`` or ``life-stage``; the finding is it, or it with
    ``-mixed`` or ``-missing`` behind. Words that are not allowed count as not listed.
    """
    column = yes(len(rows))
    if not words.include and not words.exclude:
        return column
    allowed_share = np.array([_allowed_share(lists[row], words) for row in rows.tolist()])
    column.settle(np.flatnonzero(np.isnan(allowed_share)), UNKNOWN, f"{code}-missing")
    column.settle(np.flatnonzero(allowed_share == 0), NO, code)
    column.settle(np.flatnonzero((allowed_share > 0) & (allowed_share < 1)), UNKNOWN, f"{code}-mixed")
    return column


def _allowed_share(listed: tuple[str, ...], words: Words) -> float:
    """Share of the listed words that the paper allows, NaN for a blank list."""
    if not listed:
        return float("nan")
    folded = [fold(word) for word in listed]
    allowed = [w not in words.exclude and (not words.include or w in words.include) for w in folded]
    return sum(allowed) / len(allowed)
