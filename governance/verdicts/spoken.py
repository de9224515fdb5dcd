"""The sentences of findings in the language of the reader: the engine makes them in English, and so they are stored.

On pages the days in them are said as the page around says days: "17 June 2024" for 2024-06-17. Files keep the days as
they are written, and so do days that are no whole days of ISO 8601."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from django.utils.translation import get_language, gettext

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
from governance.verdicts.shown_days import long_span, whole_days


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


def _day_said(text: str) -> str:
    found = whole_days(text)
    return long_span(*found) if found else text


_TEMPLATES: Final = (*TEMPLATES.values(), BY_RULES, BY_DECISION, NO_PLACE)
_WHEN: Final = Word(rf"(?:{_AS_WRITTEN}|\{{when\}})")
_SHOWN_WHEN: Final = Word(_WHEN.pattern, _day_said)

ALL: Final = Phrases(
    _TEMPLATES,
    {
        "paper": Word(r".+?", _papers_said),
        "when": _WHEN,
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


_SHOWN: Final = Phrases(_TEMPLATES, {**ALL.words, "when": _SHOWN_WHEN})
"""The same with the days said."""
_ENGLISH: Final = Phrases(
    _TEMPLATES,
    {word: Word(one.pattern) for word, one in ALL.words.items()} | {"when": _SHOWN_WHEN},
    in_english=True,
)
"""The same where nothing but the days is to be said anew."""
_DAY: Final = re.compile(r"\d-\d\d-\d")


def spoken(sentence: str, *, days_as_written: bool = False) -> str:
    """A sentence of the engine in the language of the reader, its open words open as they were.

    Args:
        sentence: as stored, with the words of the specimen in braces, or filled; one of somebody else stays as it is.
        days_as_written: for files, where a day stays 2024-06-17.
    """
    if days_as_written or not _DAY.search(sentence):
        return ALL.said(sentence)
    return (_ENGLISH if (get_language() or "en").startswith("en") else _SHOWN).said(sentence)


def spoken_words(words: Words, *, days_as_written: bool = False) -> Words:
    """The words of a specimen (``sentences.words_of``) as they go into a sentence of ``spoken``."""
    by: Mapping[str, Word] = (ALL if days_as_written else _SHOWN).words
    return words | {word: by[word].said(text) for word, text in words.items() if word in by}
