"""Sentences of the desk: one for every code, neutral, and without a paper's content where nobody is said to read."""

from __future__ import annotations

import pytest

from governance.engine.uses import CODES, Answer
from governance.usedesk.queries.shown import answer_sentence
from governance.usedesk.words import _ALL_WORDS

BLAMING = ("breach", "violat", "illegal", "offence", "invalid", "fail", "wrong")
"""Words that DESIGN.md, section 6, keeps away from sentences of a register: it blames nobody."""


@pytest.mark.parametrize("code", CODES)
def test_every_code_of_the_engine_has_a_sentence(code: str) -> None:
    """A code without words would be shown as itself."""
    words = str(_ALL_WORDS[code]) % {
        "paper": "ABS-1", "day": "1 May 2024", "measure": "3", "against": "2", "measure_day": "2 May 2024",
        "against_day": "3 May 2024",
    }  # fmt: skip

    assert words[0].isupper()
    assert not words.endswith(".")
    assert not [blaming for blaming in BLAMING if blaming in words.casefold()]


def test_no_words_are_kept_for_a_code_that_the_engine_does_not_have() -> None:
    assert set(_ALL_WORDS) == set(CODES)


@pytest.mark.parametrize(
    ("counts", "first", "rest"),
    [
        # the sentence of the issue: 212 allowed, 96 with duties, 41 ask, 18 no, 21 silent and 12 unread: 400 in all
        ({0: 212, 1: 96, 2: 41, 3: 21, 4: 12, 5: 18}, "308 of 400 can go now, 96 of them with duties.",
         "41 wait for an agreement, 18 stay here, 33 need a person to read or decide."),
        ({0: 3}, "3 of 3 can go now.", ""),
        ({1: 2, 5: 1}, "2 of 3 can go now, with duties.", "1 stays here."),
        ({2: 1}, "It cannot go now.", "1 waits for an agreement."),
        ({3: 1, 4: 1}, "None of 2 can go now.", "2 need a person to read or decide."),
        ({0: 11_999, 1: 1}, "12,000 of 12,000 can go now, 1 of them with duties.", ""),
    ],
)  # fmt: skip
def test_the_sentence_counts_every_specimen_once(counts: dict[int, int], first: str, rest: str) -> None:
    by_answer = {Answer(answer): count for answer, count in counts.items()}

    assert answer_sentence(by_answer, counts.get(0, 0) + counts.get(1, 0)) == (first, rest)
