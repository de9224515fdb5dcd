"""Names of taxa in the words of a paper: those that the register knows, and those of the form of a Latin name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Final

from governance.papers.offers.cues import pattern_for, plain
from governance.papers.offers.offer import Offer, Origin, PageText

_TOKEN: Final = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
_BINOMIAL: Final = re.compile(r"(?<![\w-])[A-Z][a-z]{2,}(?:-[a-z]+)? [a-z]{3,}(?:-[a-z]+)?(?: [a-z]{3,})?(?![\w-])")
_MOST_WORDS: Final = 3
_SENTENCE: Final = re.compile(r"[.;:](?:\s|$)|\n\s*\n")
_AND: Final = r"(?:(?:and|y|et|e|und|o|or|ou|oder)[\s(]+)"
_BETWEEN: Final = re.compile(rf"(?:[ \t]*[,;][ \t]*\n?[ \t]*{_AND}?|[ \t]+{_AND}|[ \t]*\n[ \t]*[-–•*·][ \t]*)\(?")
"""What parts two names of a list: a comma, "and", or a new line with a bullet."""

KnownNames = Mapping[str, str]
"""Names of the classification in small letters, and as they are written."""


def offered_taxa(page: PageText, known: KnownNames) -> Iterator[Offer]:
    """One offer a name; "not ..." where its sentence excludes it. Names by their form alone stand behind a cue only.

    A known name before a small word, which may be a species of it that the register does not know, is not offered by
    itself: it would say more than the paper.
    """
    text, taken, told = plain(page.text), [], set()
    for start, end, value in _known(page.text, known):
        taken.append((start, end))
        if value not in told:
            told.add(value)
            yield _offer(page, text, (start, end), value, Origin.KNOWN_NAME)
    for start, end in _behind_cue(page.text, text):
        value = page.text[start:end]
        if value not in told and not any(start < b and a < end for a, b in taken):
            told.add(value)
            yield _offer(page, text, (start, end), value, Origin.LATIN_FORM)


def _known(text: str, known: KnownNames) -> Iterator[tuple[int, int, str]]:
    """Known names, the longest at each place; written with a capital, since names of taxa are."""
    tokens = list(_TOKEN.finditer(text))
    number = 0
    while number < len(tokens):
        step = 1
        if tokens[number][0][0].isupper():
            for count in range(min(_MOST_WORDS, len(tokens) - number), 0, -1):
                start, end = tokens[number].start(), tokens[number + count - 1].end()
                value = known.get(" ".join(text[start:end].split()).casefold())
                if value and not (count == 1 and _may_be_genus(text, end)):
                    step = count
                    yield start, end, value
                    break
        number += step


def _may_be_genus(text: str, end: int) -> bool:
    """Whether a small word follows that is no word of a sentence: the rest of the name of a species."""
    after = re.compile(r" ([a-z]{3,}(?:-[a-z]+)?)(?![\w-])").match(text, end)
    if not after:
        return False
    word = plain(after[1])
    return not any(pattern_for(words).match(word) for words in ("small", "except", "not", "joins"))


def _behind_cue(text: str, folded: str) -> Iterator[tuple[int, int]]:
    """Binomials that follow "Species:" one after the other."""
    for cue in pattern_for("species").finditer(folded):
        head = re.compile(r"[ \t]*:[ \t]*\n?[ \t]*[-–•*·(]?[ \t]*").match(text, cue.end())
        at = head.end() if head else -1
        while at >= 0:
            name = _BINOMIAL.match(text, at)
            if not name:
                break
            end = name.end() - len(_third_word_of_sentence(name[0]))
            yield name.start(), end
            gap = _BETWEEN.match(text, end)
            at = gap.end() if gap else -1


def _third_word_of_sentence(name: str) -> str:
    """A third word is part of the name only where it is no word of a sentence."""
    parts = name.split(" ")
    return f" {parts[2]}" if len(parts) > 2 and pattern_for("small").fullmatch(plain(parts[2])) else ""


def _offer(page: PageText, text: str, place: tuple[int, int], value: str, origin: str) -> Offer:
    sentence_start = max((match.end() for match in _SENTENCE.finditer(text, 0, place[0])), default=0)
    excluded = bool(pattern_for("except").search(text, sentence_start, place[0]))
    return Offer(
        "taxa", f"not {value}" if excluded else value, page.page, *place, " ".join(page.text[slice(*place)].split()),
        confidence=page.confidence(*place), origin=origin, of_paper=page.of_paper,
    )  # fmt: skip
