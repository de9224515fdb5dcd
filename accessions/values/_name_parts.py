"""A scientific name cut into its words: what is the name, what is doubt, what is authorship."""

import re
from dataclasses import dataclass, field

from accessions.values._name_words import ALTERNATIVES, HYBRID_SIGNS, MARKERS, OPEN, PARTICLES, QUALIFIERS

FIRST, SUBGENUS, SPECIES, INFRASPECIES = range(4)
"""Places in a name: the first word (a genus, or a name of one word of any rank), subgenus, epithet, lower epithet."""

LONGEST_NAME = 300
"""Characters. No name with its authorship is longer; a longer cell is not read."""

_BRACKETED = re.compile(r"\(([A-Z][^\W\d_]+)\)")
_ABBREVIATED = re.compile(r"([A-Z][a-z]{0,2})\.")
_YEAR = re.compile(r"\b1[789][0-9]{2}\b|\b20[0-9]{2}\b")
_NUMBERED = re.compile(r"spp?\.?[0-9]\w{0,8}")  # "sp.1"
_ORNAMENTS = "†‡\"'“”‘’[]"


@dataclass(slots=True)
class NameParts:
    """The words of a name.

    words: (place, word) in the order written; several infraspecific epithets may follow each other.
    doubtful_from: the highest place that a qualifier touches, None without one.
    opened_by: the word at which the name ends because no further one is given ("sp"), "" if there is none.
    is_formula: a hybrid of two names; only what both share is left in words. shares_first: they share the genus.
    """

    words: list[tuple[int, str]] = field(default_factory=list)
    doubtful_from: int | None = None
    qualified: bool = False
    opened_by: str = ""
    is_formula: bool = False
    shares_first: bool = True

    def at(self, place: int) -> str:
        """The last word at a place, "" if there is none."""
        return next((word for p, word in reversed(self.words) if p == place), "")

    @property
    def is_open(self) -> bool:
        return self.opened_by != ""

    @property
    def lowest(self) -> int:
        return max((place for place, _ in self.words), default=FIRST)

    def doubt(self, place: int) -> None:
        """A qualifier touches the place and all below it."""
        self.qualified = True
        self.doubtful_from = place if self.doubtful_from is None else min(place, self.doubtful_from)


def cut_name(text: str) -> NameParts:
    """Cuts a name. The text must not be longer than ``LONGEST_NAME``; a text without a name gives no words."""
    return _Cutter(text).cut()


def _key(token: str) -> str:
    return token.strip("(),;:").rstrip(".").casefold()


def _is_epithet(token: str) -> bool:
    return len(token) >= 2 and token.replace("-", "").isalpha() and token == token.lower()


class _Cutter:
    """Walks through the words of a name once."""

    def __init__(self, text: str) -> None:
        # a name all in capitals has its epithets in capitals too
        self.all_capitals = text.isupper()
        self.tokens = [bare for token in text.split() if (bare := token.strip(_ORNAMENTS))]
        self.parts = NameParts()
        self.doubt_ahead = False  # a qualifier was read, and what it touches is still to come
        self.marker_ahead = False  # "var." was read
        self.is_closed = False  # authorship, or the end of what is named

    def cut(self) -> NameParts:
        for position, token in enumerate(self.tokens):
            if self._is_hybrid_sign(token) and self._ends_as_formula(position):
                break
            self._take(position, token)
        if self.doubt_ahead:
            self.parts.doubt(self.parts.lowest)
        return self.parts

    def _take(self, position: int, token: str) -> None:
        word, has_doubt_after = token, False
        if token.startswith("?") and len(token) > 1:
            self.doubt_ahead, word = True, token.lstrip("?")
        elif token.rstrip(",;").endswith("?") and len(token) > 1 and token not in ("(?)", "(?"):
            has_doubt_after, word = True, token.rstrip("?,;")
        if len(word) > 1 and word[0] in "×✕✖":
            word = word[1:]
        known = len(self.parts.words)
        self._place(position, word)
        if has_doubt_after:
            self.parts.doubt(self.parts.words[-1][0] if len(self.parts.words) > known else self.parts.lowest)

    def _place(self, position: int, word: str) -> None:
        key = _key(word)
        if self._is_qualifier(word, key):
            self.doubt_ahead = True
        elif self._is_hybrid_sign(word) or (not key and word):
            return
        elif self._opens(key):
            self.parts.opened_by, self.is_closed = "sp" if _NUMBERED.fullmatch(key) else key, True
        elif not self.parts.words:
            self._place_first(word)
        elif key in MARKERS and (word.endswith(".") or len(key) > 3):
            self.marker_ahead = True
        elif self._is_alternative(word, key):
            if "/" in word:
                self._add(INFRASPECIES if self.parts.at(SPECIES) else SPECIES, word)
            self.parts.doubt(self.parts.lowest)
            self.is_closed = True
        else:
            self._place_lower(position, word, key)

    def _opens(self, key: str) -> bool:
        if self.parts.opened_by == "n":
            return key in OPEN  # "n. sp.": the word after "new" says new what
        return not self.is_closed and (key in OPEN or _NUMBERED.fullmatch(key) is not None)

    def _is_qualifier(self, word: str, key: str) -> bool:
        if key == "lato":
            return True
        return key in QUALIFIERS and not (self.is_closed and not self.parts.is_open and key == "gr")

    def _is_alternative(self, word: str, key: str) -> bool:
        # a slash between epithets ("bus/cus") leaves open which it is, as "or" does
        return not self.is_closed and (key in ALTERNATIVES or ("/" in word and word == word.lower()))

    def _place_first(self, word: str) -> None:
        if self.is_closed:
            return
        name = word.strip("(),;:")
        if not name.rstrip(".").replace("-", "").isalpha():
            self.is_closed = True
            return
        self._add(FIRST, name)
        self.is_closed = word.endswith((",", ";"))

    def _place_lower(self, position: int, word: str, key: str) -> None:
        if self._is_subgenus(position, word):
            self._add(SUBGENUS, word.strip("()"))
            return
        name = word.strip(",;")
        if name.endswith(".") and len(name) > 5 and position == len(self.tokens) - 1:
            name = name[:-1]  # the full stop of the cell, not that of an abbreviation
        if not self._reads_as_epithet(name) or (key in PARTICLES and not self.marker_ahead):
            self.is_closed = True
        elif self.marker_ahead:
            self._add(INFRASPECIES, name)
            self.marker_ahead, self.is_closed = False, True
        elif not self.is_closed:
            self._add(INFRASPECIES if self.parts.at(SPECIES) else SPECIES, name)
            self.is_closed = self.parts.at(INFRASPECIES) != "" or word.endswith((",", ";"))
        elif self.doubt_ahead and self.parts.is_open:
            # "Aus sp. cf. bus": the doubt is about a name that is not taken anyway
            self.parts.qualified, self.doubt_ahead = True, False

    def _reads_as_epithet(self, name: str) -> bool:
        return _is_epithet(name.lower() if self.all_capitals else name)

    def _add(self, place: int, word: str) -> None:
        self.parts.words.append((place, word))
        if self.doubt_ahead:
            self.parts.doubt(place)
            self.doubt_ahead = False

    def _is_subgenus(self, position: int, word: str) -> bool:
        """A bracketed word after the genus is a subgenus unless it may be the first author of a name."""
        if self.is_closed or len(self.parts.words) != 1 or not _BRACKETED.fullmatch(word):
            return False
        rest = self.tokens[position + 1 :]
        if not rest:
            return True
        key = _key(rest[0].strip("?"))
        starts_name = self._reads_as_epithet(rest[0].strip("?,;")) and key not in PARTICLES
        return starts_name or key in OPEN or key in QUALIFIERS or _YEAR.search(" ".join(rest)) is not None

    def _is_hybrid_sign(self, token: str) -> bool:
        return token in HYBRID_SIGNS

    def _ends_as_formula(self, position: int) -> bool:
        """Whether the sign joins two names; if so only the genus that both share is kept."""
        rest = [t for t in self.tokens[position + 1 :] if _key(t.strip("?")) not in QUALIFIERS]
        if not self.parts.words or not rest:
            return False
        other = rest[0].strip("?,;")
        if not self.parts.at(SPECIES) and self._reads_as_epithet(other):
            return False  # a hybrid species with a name of its own
        genus = self.parts.at(FIRST)
        abbreviated = _ABBREVIATED.fullmatch(other)
        shares = genus.startswith(abbreviated[1]) if abbreviated else other == genus or self._reads_as_epithet(other)
        if any("?" in t or _key(t) in QUALIFIERS for t in self.tokens[position + 1 :]):
            self.parts.qualified = True
        self.parts.is_formula, self.parts.shares_first = True, shares
        self.parts.words = [(FIRST, genus)] if shares else []
        return True
