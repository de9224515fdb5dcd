"""Sentences that were made in English, said again in the language of the reader.

The pure packages know no language, and what they said stands in the register. Their sentences are made of templates
with words in braces: here a sentence is held against the template that made it, and the translated template is filled
with the same words. What fits no template, or a word that is not known, leaves the English sentence as it stands: a
sentence in another language is better than a wrong one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

from django.utils.translation import get_language, gettext

_WORD: Final = re.compile(r"\{(\w+)\}")
_ENGLISH: Final = "en"


@dataclass(frozen=True)
class Word:
    """What may stand for a word in braces. pattern: of its English text. said: the same in the reader's language."""

    pattern: str
    said: Callable[[str], str] = str


FREE: Final = Word(r".+")
"""What somebody wrote: it stays as it is."""


@dataclass(frozen=True)
class Phrases:
    """Templates of English sentences, and what may stand for their words; a word that is not named is free.

    in_english: its words are said anew to readers of English, too.
    """

    templates: tuple[str, ...]
    words: Mapping[str, Word]
    in_english: bool = False

    def __hash__(self) -> int:
        return hash(self.templates)

    def said(self, sentence: str) -> str:
        """The sentence in the language of the reader; as it stands where it is of none of the templates."""
        language = get_language() or _ENGLISH
        is_said = bool(sentence) and (self.in_english or not language.startswith(_ENGLISH))
        return _said(self, sentence, language) if is_said else sentence

    def knows(self, sentence: str) -> bool:
        """Whether one of the templates could have made the sentence."""
        return any(one.fullmatch(sentence) for _, one, _ in self._patterns)

    @cached_property
    def _patterns(self) -> list[tuple[str, re.Pattern[str], re.Pattern[str]]]:
        """By template its pattern twice: with the first free words as long as they can be, and as short."""
        written = [(template, self._pattern(template)) for template in self.templates]
        return [(name, re.compile(_long(one), re.DOTALL), re.compile(_short(one), re.DOTALL)) for name, one in written]

    def _pattern(self, template: str) -> str:
        seen: set[str] = set()
        pattern = ""
        for number, piece in enumerate(_WORD.split(template)):
            if number % 2 == 0:
                pattern += re.escape(piece)
            elif piece in seen:
                pattern += f"(?P={piece})"
            else:
                pattern += f"(?P<{piece}>{self.words.get(piece, FREE).pattern})"
                seen.add(piece)
        return pattern

    def again(self, sentence: str) -> str:
        """As ``said``, whatever the language. The template that says most of its own words made it, if the others that
        fit say the same less closely. Else a name holds words of a template, and nobody can tell which it was: so, too,
        where the sentence can be parted in two ways.
        """
        fitting = [one for one in self._patterns if one[1].fullmatch(sentence)]
        fitting.sort(key=lambda one: -len(_WORD.sub("", one[0])))
        if not fitting or not all(wider.fullmatch(fitting[0][0]) for _, wider, _ in fitting[1:]):
            return sentence
        template, *patterns = fitting[0]
        said = {self._filled(template, found) for one in patterns if (found := one.fullmatch(sentence))}
        return said.pop() if len(said) == 1 else sentence

    def _filled(self, template: str, found: re.Match[str]) -> str:
        words = {word: self.words.get(word, FREE).said(text) for word, text in found.groupdict().items()}
        return gettext(template).format_map(words)


def _long(pattern: str) -> str:
    """Where a piece may be missing, the word before it must not take it in: it stays short."""
    return pattern if ")?)" in pattern else pattern.replace(".+?", ".+")


def _short(pattern: str) -> str:
    return re.sub(r"(?<!\\)\.([+*])(?!\?)", r".\1?", pattern)


@lru_cache(maxsize=20_000)
def _said(phrases: Phrases, sentence: str, language: str) -> str:
    return phrases.again(sentence)


def one_of(texts: Iterable[str], *, or_else: str = "") -> Word:
    """A word out of few, each translated. or_else: a pattern of what else may stand there, and stays as it is."""
    known = tuple(texts)
    pattern = "|".join(re.escape(text) for text in sorted(known, key=len, reverse=True))
    return Word(
        f"(?:{pattern}{'|' if or_else else ''}{or_else})", lambda text: gettext(text) if text in known else text
    )
