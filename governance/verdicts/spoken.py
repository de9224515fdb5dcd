"""The sentences of findings in the language of the reader: the engine makes them in English, and so they are stored."""

from __future__ import annotations

import re
from typing import Final

from django.utils.translation import gettext

from accessions.material.hints import said_hint
from accessions.people.phrases import Phrases, Word, one_of
from governance.engine.explain import (
    AND,
    BOUNDARY,
    BY_DECISION,
    BY_RULES,
    DEPTH,
    NEAREST,
    NO_PLACE,
    TEMPLATES,
    WORDS,
    Words,
)
from governance.papers.measures import QUANTITY, quantity_said


def _amount(word: str) -> Word:
    """A quantity, or what stands for it where it is not known."""
    instead = "|".join(map(re.escape, WORDS.get(word, ())))
    return Word(
        f"(?:{QUANTITY}{'|' if instead else ''}{instead})",
        lambda text: gettext(text) if text in WORDS.get(word, ()) else quantity_said(text),
    )


_REACH: Final = Word(rf"(?:±{QUANTITY}|\{{reach\}})", quantity_said)
_MEASURE: Final = _amount("measure")


def _piece(template: str, **words: Word) -> Word:
    """A piece of a sentence that may be missing."""
    phrases = Phrases((template,), words)
    pattern = re.escape(template)
    for word, what in words.items():
        pattern = pattern.replace(re.escape(f"{{{word}}}"), what.pattern)
    return Word(f"(?:{pattern})?", phrases.said)


_NUMBER: Final = re.compile(r"(?=.*\d)\S+")
"""References between which "and" is no part of a name, as it may be in "Permits 3 and 4"."""
_AS_WRITTEN: Final = r"\".*\"|[\d\-/:.TZ+]*"
"""A day or place as somebody wrote it: in quotation marks, but for figures."""


def _papers_said(text: str) -> str:
    if text in WORDS["paper"]:
        return gettext(text)
    papers = text.split(AND)
    return gettext(AND).join(papers) if all(map(_NUMBER.fullmatch, papers)) else text


def _hint_said(text: str) -> str:
    return f": {said_hint(text[2:])}" if text.startswith(": ") else text


ALL: Final = Phrases(
    (*TEMPLATES.values(), BY_RULES, BY_DECISION, NO_PLACE),
    {
        "paper": Word(r".+?", _papers_said),
        "when": Word(rf"(?:{_AS_WRITTEN}|\{{when\}})"),
        "covers": one_of(WORDS["covers"]),
        "did": one_of(WORDS["did"]),
        "day": one_of(WORDS["day"]),
        "side": one_of(WORDS["side"]),
        "inside": one_of(WORDS["inside"], or_else=r"\d+"),
        "measure": _MEASURE,
        "against": _amount("against"),
        "reach": _REACH,
        "nearest": _piece(NEAREST, measure=_MEASURE),
        "depth": _piece(DEPTH, measure=_MEASURE),
        "boundary": _piece(BOUNDARY, reach=_REACH),
        "hint": Word(r"(?:: .+|\{hint\})?", _hint_said),
        "where": one_of(WORDS["where"], or_else=rf"{_AS_WRITTEN}|\{{where\}}"),
        "name": one_of(WORDS["name"], or_else=".+"),
    },
)


def spoken(sentence: str) -> str:
    """A sentence of the engine in the language of the reader, its open words open as they were.

    Args:
        sentence: as stored, with the words of the specimen in braces, or filled; one of somebody else stays as it is.
    """
    return ALL.said(sentence)


def spoken_words(words: Words) -> Words:
    """The words of a specimen (``sentences.words_of``) as they go into a sentence of ``spoken``."""
    said = {word: ALL.words[word].said(text) for word, text in words.items() if word in ALL.words}
    return words | said
