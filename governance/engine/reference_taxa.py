"""The twin of the engine, part two: taxa (section 5), methods, people, sex and stage (section 6) of the contract.

One specimen against one version of one paper. Nothing here is fast; everything reads in the order of the contract.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

from governance.engine.tables import RANKS, Assistants, Finding, ListedTaxon, Taxa, Version, Words, fold

KINGDOM, FAMILY, GENUS = RANKS.index("kingdom"), RANKS.index("family"), RANKS.index("genus")
SPECIES, INFRASPECIES = RANKS.index("species"), RANKS.index("infraspecies")

Lineage = tuple[str, ...]


class Answer(IntEnum):
    """Answer of one test of one paper for one specimen; of several answers the largest decides (section 1)."""

    YES = 0
    UNKNOWN = 1
    NO = 2


@dataclass(frozen=True)
class Reply:
    """An answer with its findings: reasons on ``no`` and ``unknown``, remarks on ``yes``.

    excess: of caps, the largest number of individuals above a limit (infinite without bound), to compare papers by.
    """

    answer: Answer
    findings: tuple[Finding, ...] = ()
    excess: float = math.inf


def reply(answer: Answer, *codes: str) -> Reply:
    """A reply whose findings carry no measure."""
    return Reply(answer, tuple(Finding(code) for code in codes))


# ---------------------------------------------------------------------------------------------------- section 5


class Fit(IntEnum):
    """How a specimen's path stands to a listed name."""

    OUTSIDE = 0
    UNPLACED = 1
    MAYBE = 2
    INSIDE = 3


@dataclass(frozen=True)
class Path:
    """The specimen's name and its higher names: one name a rank, and names whose rank is not known."""

    lineage: Lineage
    unranked: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        return not any(self.lineage)

    @property
    def species(self) -> str:
        return self.lineage[SPECIES]

    def has(self, name: str) -> bool:
        return name in self.lineage or name in self.unranked


def may_be_same(one: Lineage, other: Lineage) -> bool:
    """True if no rank that both lineages fill differs."""
    return all(not a or not b or a == b for a, b in zip(one, other, strict=True))


def guessed_rank(name: str) -> int | None:
    """Rank of a name by its form alone: -idae and -aceae are families, two words a species, three an infraspecies."""
    words = len(name.split())
    if words == 1:
        return FAMILY if name.endswith(("idae", "aceae")) else None
    return SPECIES if words == 2 else INFRASPECIES


def spelled_out(lineage: Lineage) -> Lineage:
    """The lineage with the genus that a binomial implies, and the species that a trinomial implies."""
    names = list(lineage)
    if names[INFRASPECIES] and not names[SPECIES] and len(names[INFRASPECIES].split()) > 2:
        names[SPECIES] = " ".join(names[INFRASPECIES].split()[:2])
    if names[SPECIES] and not names[GENUS] and len(names[SPECIES].split()) > 1:
        names[GENUS] = names[SPECIES].split()[0]
    return tuple(names)


class Classification:
    """What the rank columns, higherClassification and the binomials of the whole file say of names (section 5)."""

    def __init__(self, taxa: Taxa) -> None:
        self._rows = [Path(spelled_out(x), tuple(y)) for x, y in zip(taxa.lineage, taxa.unranked, strict=True)]
        self._rows = [self._with_known_ranks(row) for row in self._rows]
        self.paths = [self._completed(row) for row in self._rows]

    @cached_property
    def _ranks_of(self) -> dict[str, set[int]]:
        """The ranks at which each name stands in the rank columns."""
        ranks: dict[str, set[int]] = {}
        for row in self._rows:
            for rank, name in enumerate(row.lineage):
                if name:
                    ranks.setdefault(name, set()).add(rank)
        return ranks

    def _with_known_ranks(self, path: Path) -> Path:
        """Names without a rank take the one that the file's rank columns, or the form of the name, give them."""
        lineage, left = list(path.lineage), []
        for name in path.unranked:
            known = self._ranks_of.get(name) or {rank for rank in (guessed_rank(name),) if rank is not None}
            rank = next(iter(known)) if len(known) == 1 else None
            if rank is not None and lineage[rank] in ("", name):
                lineage[rank] = name
            else:
                left.append(name)
        return Path(spelled_out(tuple(lineage)), tuple(left))

    def _completed(self, path: Path) -> Path:
        """Blank ranks above the name take the one value that the statements of the lowest filled names give."""
        lineage = path.lineage
        while True:
            longer = lineage
            for rank in reversed(range(len(RANKS))):
                if not longer[rank]:
                    longer = (*longer[:rank], self._value_above(longer, rank), *longer[rank + 1 :])
            if longer == lineage:
                return Path(lineage, path.unranked)
            lineage = longer

    def _value_above(self, lineage: Lineage, rank: int) -> str:
        """The value that all statements of the lowest filled name give, read from that name upwards.

        A statement that leaves the rank blank and contradicts one that fills it speaks of another taxon of that name:
        then nothing is taken (decision record 1: if they give several the rank stays blank).
        """
        for lower in reversed(range(rank + 1, len(RANKS))):
            if not lineage[lower]:
                continue
            own = lineage[:lower]
            stated = {row.lineage[:lower] for row in self._rows if row.lineage[lower] == lineage[lower]}
            stated = {above for above in stated if may_be_same(above, own)}
            given = {above for above in stated if above[rank]}
            if given:
                values = {above[rank] for above in given}
                agree = all(may_be_same(a, b) for a in given for b in stated if not b[rank])
                return values.pop() if len(values) == 1 and agree else ""
        return ""

    def kingdoms_of(self, name: str) -> set[str]:
        return {path.lineage[KINGDOM] for path in self.paths if path.has(name)} - {""}

    def _placements(self, name: str, kingdom: str) -> list[tuple[int | None, Lineage]]:
        """Each rank at which the file has the name, with each set of higher names with which it stands there.

        Of a name whose rank is not known only the kingdom is taken: the file does not say what else is above it.
        """
        rows = [p for p in self.paths if p.has(name) and (not kingdom or p.lineage[KINGDOM] in ("", kingdom))]
        ranks = sorted({rank for p in rows for rank in range(len(RANKS)) if p.lineage[rank] == name})
        placements: list[tuple[int | None, Lineage]] = []
        for rank in ranks:
            below = ("",) * (len(RANKS) - rank - 1)
            stated = {spelled_out((*p.lineage[: rank + 1], *below)) for p in rows if p.lineage[rank] == name}
            placements += [(rank, above) for above in stated if not any(_says_more(b, above) for b in stated)]
        if rows and not ranks:
            only_kingdom = (_agreed([p.lineage for p in rows], KINGDOM), *[""] * (len(RANKS) - 1))
            placements.append((None, only_kingdom))
        return placements

    def fit(self, path: Path, listed: ListedTaxon) -> Fit:
        """How the path stands to one listed name, its homonyms in other kingdoms left aside."""
        kingdom = path.lineage[KINGDOM]
        if listed.kingdom and kingdom and kingdom != listed.kingdom:
            return Fit.OUTSIDE
        placements = self._placements(listed.name, listed.kingdom)
        if not placements:
            return Fit.OUTSIDE if _ruled_out_unplaced(path, listed.name) else Fit.UNPLACED
        if path.has(listed.name):
            return Fit.INSIDE if not listed.kingdom or kingdom == listed.kingdom else Fit.MAYBE
        could_be = any(
            (rank is None or not path.lineage[rank]) and may_be_same(path.lineage, above) for rank, above in placements
        )
        return Fit.MAYBE if could_be else Fit.OUTSIDE

    def is_ambiguous(self, path: Path, listed: ListedTaxon) -> bool:
        """Section 5, first row: under two kingdoms, the paper does not say which, and the path does not rule it out."""
        kingdoms = self.kingdoms_of(listed.name)
        if listed.kingdom or len(kingdoms) < 2:
            return False
        return any(self.fit(path, ListedTaxon(listed.name, kingdom)) != Fit.OUTSIDE for kingdom in kingdoms)


def _says_more(one: Lineage, other: Lineage) -> bool:
    """The one lineage fills all that the other fills, with the same names, and more."""
    return one != other and all(not b or a == b for a, b in zip(one, other, strict=True))


def _agreed(lineages: Iterable[Lineage], rank: int) -> str:
    """The one name that all lineages which fill the rank give; blank if there is none or more than one."""
    names = {lineage[rank] for lineage in lineages} - {""}
    return names.pop() if len(names) == 1 else ""


def _ruled_out_unplaced(path: Path, name: str) -> bool:
    """An unplaced name is ruled out only by another name of the same known rank, a binomial also by another genus.

    A name with a qualifier or a mark in it tells no rank ("Aeshna cf cyanea", "Aeshna sp.", "Aeshna x hybrida").
    """
    rank = guessed_rank(name) if all(_is_of_a_name(word) for word in name.split()) else None
    if rank is None:
        return False
    form = [""] * len(RANKS)
    form[rank] = name
    return not may_be_same(path.lineage, spelled_out(tuple(form)))


def _is_of_a_name(word: str) -> bool:
    marks = ["cf", "aff", "nr", "near", "prope", "agg", "sp", "spp", "x", "ssp", "subsp", "var"]
    return word not in marks and all(letter.isalpha() or letter == "-" for letter in word) and word.strip("-") != ""


def taxon_reply(classification: Classification, path: Path, qualified: bool, version: Version) -> Reply:
    """Section 5: the table; a qualified name that the rest does not decide is ``taxon-qualified``."""
    found = _taxon_table(classification, path, version)
    if qualified and found.answer == Answer.UNKNOWN:
        return reply(Answer.UNKNOWN, "taxon-qualified")
    return found


def _taxon_table(classification: Classification, path: Path, version: Version) -> Reply:
    no_limit = any(listed.name == "*" for listed in version.include_taxa)
    include: Sequence[ListedTaxon] = () if no_limit else version.include_taxa
    exclude = version.exclude_taxa
    if any(classification.is_ambiguous(path, listed) for listed in (*include, *exclude)):
        return reply(Answer.UNKNOWN, "taxon-ambiguous")
    excluded = {classification.fit(path, listed) for listed in exclude}
    if Fit.INSIDE in excluded:
        return reply(Answer.NO, "taxon-excluded")
    if Fit.MAYBE in excluded:
        return reply(Answer.UNKNOWN, "taxon-unresolved" if path.is_empty else "taxon-broad")
    if Fit.UNPLACED in excluded:
        return reply(Answer.UNKNOWN, "taxon-unresolved")
    included = {classification.fit(path, listed) for listed in include}
    if not include or Fit.INSIDE in included:
        return reply(Answer.YES)
    if path.is_empty:
        return reply(Answer.UNKNOWN, "taxon-unresolved")
    if Fit.MAYBE in included:
        return reply(Answer.UNKNOWN, "taxon-broad")
    if Fit.UNPLACED in included:
        return reply(Answer.UNKNOWN, "taxon-unresolved")
    return reply(Answer.NO, "taxon-not-included")


# ---------------------------------------------------------------------------------------------------- section 6


def words_reply(written: Sequence[str], limits: Words, code: str) -> Reply:
    """Section 6, methods, sex and life stage: all allowed yes, none no, some ``-mixed``, blank ``-missing``.

    Args:
        written: the words of the specimen, as read. limits: the words of the paper, folded.
        code: "method", "sex" or "life-stage".
    """
    if not limits.include and not limits.exclude:
        return reply(Answer.YES)
    if not written:
        return reply(Answer.UNKNOWN, f"{code}-missing")
    allowed = [_is_allowed(fold(word), limits) for word in written]
    if all(allowed):
        return reply(Answer.YES)
    return reply(Answer.UNKNOWN, f"{code}-mixed") if any(allowed) else reply(Answer.NO, code)


def _is_allowed(word: str, limits: Words) -> bool:
    return (not limits.include or word in limits.include) and word not in limits.exclude


def people_reply(written: Sequence[str], version: Version, holder: str) -> Reply:
    """Section 6, people. A paper that names nobody sets no limit; where it names people, the holder counts as named."""
    if not version.people:
        return reply(Answer.YES)
    if not written:
        return reply(Answer.UNKNOWN, "person-missing")
    on_paper = [*version.people, *([holder] if holder.strip() else [])]
    likeness = [max(_likeness(person, other) for other in on_paper) for person in written]
    if all(x == _SAME for x in likeness):
        return reply(Answer.YES)
    if _SAME not in likeness:
        return reply(Answer.UNKNOWN, "person-maybe") if _MAYBE in likeness else reply(Answer.NO, "person")
    if version.assistants == Assistants.ALLOWED:
        return reply(Answer.YES)
    if version.assistants == Assistants.SUPERVISED:
        return reply(Answer.YES, "supervision-not-evidenced")
    return reply(Answer.UNKNOWN, "person-mixed" if _OTHER in likeness else "person-maybe")


_OTHER, _MAYBE, _SAME = 0, 1, 2


def _likeness(one: str, other: str) -> int:
    """Two names: the same, perhaps the same (family name and fitting initials), or two persons.

    Without a comma a name may also be written family first ("Lund V."): then it is perhaps the same, never the same.
    """
    if _closed_up(*_given_and_family(one)[0], _given_and_family(one)[1]) == _closed_up(
        *_given_and_family(other)[0], _given_and_family(other)[1]
    ):
        return _SAME
    readings = [(_given_and_family(one), _given_and_family(other))]
    if _given_and_family(one)[0] and _given_and_family(other)[0]:
        readings.append((_family_first(one), _given_and_family(other)))
        readings.append((_given_and_family(one), _family_first(other)))
    for (given_one, family_one), (given_other, family_other) in readings:
        same_family = _closed_up(family_one) == _closed_up(family_other) and bool(_closed_up(family_one))
        initials_one, initials_other = _initials(given_one), _initials(given_other)
        if same_family and (initials_one.startswith(initials_other) or initials_other.startswith(initials_one)):
            return _MAYBE
    return _OTHER


def _family_first(name: str) -> tuple[tuple[str, ...], str]:
    """A name without a comma read with its first word as family name; nothing if it has a comma or one word."""
    words = name.replace(".", ". ").split()
    return (tuple(words[1:]), words[0]) if "," not in name and len(words) > 1 else ((), "")


def _given_and_family(name: str) -> tuple[tuple[str, ...], str]:
    """Given names and family name; the family is before the comma, else the last word with its particles."""
    if "," in name:
        family, given = name.split(",", 1)
        return tuple(given.replace(".", ". ").split()), family
    words = name.replace(".", ". ").split()
    start = max(len(words) - 1, 0)
    while start > 0 and words[start - 1].islower():
        start -= 1
    return tuple(words[:start]), " ".join(words[start:])


def _closed_up(*words: str) -> str:
    """Case, spaces and full stops folded away: "AB Lind" and "A.B. Lind" are one name (section 6)."""
    joined = unicodedata.normalize("NFC", "".join(words))
    return "".join(letter for letter in joined if letter != "." and not letter.isspace()).casefold()


def _initials(given: Iterable[str]) -> str:
    """Initials of given names. Two or three capitals alone ("AB") are initials themselves."""
    initials = ""
    for word in given:
        letters = word.replace(".", "")
        each = list(letters) if letters.isupper() and len(letters) <= 3 else [part[:1] for part in letters.split("-")]
        initials += "".join(each)
    return initials.casefold()
