"""How, and of which sex and stage: lists of words against the words of a paper (VERDICTS section 6)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from governance.engine.answers import NO, UNKNOWN
from governance.engine.columns import Column, yes
from governance.engine.tables import Rows, Words, fold


def judge_words(rows: Rows, lists: Sequence[tuple[str, ...]], words: Words, code: str) -> Column:
    """All words allowed: yes; none: no; some, or a blank list: unknown (VERDICTS section 6).

    Args:
        rows: the rows of lists to judge, shape (n_rows,).
        lists: the words of each row as written; an empty tuple for a blank cell.
        words: what the paper allows and forbids, folded; both empty: all yes.
        code: ``method``, ``sex`` or ``life-stage``; the finding is it, or it with ``-mixed`` or ``-missing`` behind.

    Returns:
        A column of shape (n_rows,). A forbidden word counts as not allowed.

    >>> rows, lists = np.arange(4), [("Hand net",), ("gun",), ("gun", "hand net"), ()]
    >>> answers = judge_words(rows, lists, Words(include=frozenset({"hand net"})), "method")
    >>> answers.answer.tolist()
    [0, 2, 1, 1]
    >>> judge_words(rows, lists, Words(), "method").answer.tolist()
    [0, 0, 0, 0]
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
