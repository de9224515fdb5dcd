"""The words by which papers name what they say (``cues.yaml``), found in a text whose accents are folded away."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import yaml

LANGUAGES = ("en", "es", "fr", "pt", "de")
_FAR = 300
"""Signs before a cue that are looked at."""

_SAME = str.maketrans({"’": "'", "‘": "'", "`": "'", "–": "-", "—": "-", "\u00a0": " ", "°": "º"})


@dataclass(frozen=True, slots=True)
class Cue:
    """A cue in a text: what it announces, from where to where, and whether it counts only at the start of a line."""

    field: str
    start: int
    end: int


def plain(text: str) -> str:
    """Without accents and capitals, sign for sign as long as the text, so that places in it stay right.

    >>> plain("Válido DESDE")
    'valido desde'
    """
    return "".join(unicodedata.normalize("NFD", sign)[0].lower()[0] for sign in text).translate(_SAME)


@cache
def words_for(field: str) -> tuple[str, ...]:
    """The cue words of all languages for something, longest first."""
    found = {str(word) for language in LANGUAGES for word in _data()[language].get(field, ())}
    return tuple(sorted(found, key=lambda word: (-len(word), word)))


@cache
def pattern_for(field: str) -> re.Pattern[str]:
    """Any of the cue words, as whole words, with the sign for "number" in its many spellings."""
    return re.compile(rf"(?<![\w-])(?:{'|'.join(_expression(word) for word in words_for(field))})(?![\w-])")


def cues(text: str, field: str) -> Iterator[Cue]:
    """Cues in a plain text, those of ``<field>_at_line_start`` included."""
    for match in pattern_for(field).finditer(text):
        yield Cue(field, match.start(), match.end())
    if words_for(f"{field}_at_line_start"):
        for match in pattern_for(f"{field}_at_line_start").finditer(text):
            if not text[text.rfind("\n", 0, match.start()) + 1 : match.start()].strip():
                yield Cue(field, match.start(), match.end())


def speaks_of_another(text: str, start: int) -> bool:
    """Whether the words before a cue on its line, or the line that runs on into it, speak of another paper or act."""
    line = max(text.rfind("\n", 0, start) + 1, start - _FAR)
    before = text[line:start]
    if before.strip():
        above = text[max(text.rfind("\n", 0, max(line - 1, 0)) + 1, line - _FAR, 0) : max(line - 1, 0)]
        before = (above if not above.rstrip().endswith((".", ":", ";")) else "") + " " + before
    sentence = re.split(r"(?<=\w{4})[.;]\s", before)[-1]  # "no. " ends no sentence
    return bool(pattern_for("earlier").search(sentence))


def language_of(texts: Iterable[str]) -> str:
    """The language of some words, by the cues they hold; "" where none is clearly ahead.

    >>> language_of(["Válido desde el 1 de mayo", "Titular: J. Ek"])
    'es'
    """
    text = plain("\n".join(texts))
    counts = sorted(((_count(text, language), language) for language in LANGUAGES), reverse=True)
    return counts[0][1] if counts[0][0] > counts[1][0] else ""


def _count(text: str, language: str) -> int:
    fields = ("issued_on", "in_force_from", "in_force_to", "period", "reference", "holder", "issuer", "small")
    words = {str(word) for field in fields for word in _data()[language].get(field, ()) if "*" not in str(word)}
    return sum(len(re.findall(rf"(?<![\w-]){_expression(word)}(?![\w-])", text)) for word in words)


def _expression(word: str) -> str:
    parts = [_NUMBER_SIGN if part in ("no", "nr") else _escaped(part) for part in word.split(" ") if part != "*"]
    tail = r"\s+[^\n0-9,]{1,40}" if word.endswith(" *") else ""
    if "*" in word and not tail:
        before, after = (piece.strip() for piece in word.split("*"))
        return rf"{_joined(before)}\s[^\n0-9]{{1,40}}?\s{_joined(after)}"
    return r"\s+".join(parts) + tail


_NUMBER_SIGN = r"(?:n\s?[.]?\s?[ºª]|no|nr|num|n|№)[.]?"


def _joined(words: str) -> str:
    return r"\s+".join(_escaped(part) for part in words.split())


def _escaped(part: str) -> str:
    """A cue is known again where recognition took ü for two letters; what it announces is never put right."""
    return re.escape(part).replace("u", "(?:u|ii)")


@cache
def _data() -> dict[str, dict[str, list[str]]]:
    found: dict[str, dict[str, list[str]]] = yaml.safe_load(
        (Path(__file__).parent / "cues.yaml").read_text(encoding="utf-8")
    )
    return found
