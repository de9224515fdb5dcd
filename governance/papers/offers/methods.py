"""Methods: what is listed behind "Permitted methods:", as long as the list is plain."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from governance.papers.offers.cues import cues, pattern_for, plain
from governance.papers.offers.offer import Offer, PageText

_PART: Final = re.compile(r"[^,;]+")
_MOST_WORDS: Final = 4


def offered_methods(page: PageText) -> Iterator[Offer]:
    """One offer a method. A list with an exception is left to the person: what it excludes must not be guessed."""
    text = plain(page.text)
    for cue in cues(text, "methods"):
        head = re.compile(r"[ \t]*:[ \t]*").match(text, cue.end)
        if not head:
            continue
        line_end = text.find("\n", head.end())
        line = page.text[head.end() : line_end if line_end >= 0 else len(text)]
        if any(pattern_for(words).search(plain(line)) for words in ("except", "not")):
            continue
        for part in _PART.finditer(line):
            word = part[0].strip(" .")
            if word and len(word.split()) <= _MOST_WORDS and word[0].isalpha():
                start = head.end() + part.start() + part[0].index(word)
                yield Offer(
                    "methods", word, page.page, start, start + len(word), word,
                    confidence=page.confidence(start, start + len(word)), of_paper=page.of_paper,
                )  # fmt: skip
        return
