"""By whom: the people recorded against the people named on a paper (VERDICTS section 6)."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from governance.engine.answers import NO, UNKNOWN, YES
from governance.engine.columns import Column, yes
from governance.engine.tables import Assistants, Rows, Version


@dataclass(frozen=True)
class PersonName:
    """A name, read. whole: case, blanks, full stops and order folded away. family, initials: folded, for "maybe".

    reversed_family, reversed_initials: as if the family name came first without a comma ("Lund V."), else "".
    """

    whole: str
    family: str
    initials: str
    reversed_family: str = ""
    reversed_initials: str = ""


@lru_cache(maxsize=65536)
def read_person(name: str) -> PersonName:
    """The name of a person, however it is written (VERDICTS section 6).

    Without a comma the last word is the family name, with the small words before it.

    >>> {read_person(name).whole for name in ("Person, A. B.", "A.B. Person", "a b person")}
    {'abperson'}
    >>> read_person("van der Berg, Anna")
    PersonName(whole='annavanderberg', family='vanderberg', initials='a', reversed_family='', reversed_initials='')
    >>> read_person("").whole
    ''
    """
    text = unicodedata.normalize("NFC", name).replace(".", ". ")
    family, comma, given = text.partition(",")
    if comma:
        return _person(given.split(), family.split())
    words = text.split()
    first = max(len(words) - 1, 0)
    while first > 0 and words[first - 1].islower():
        first -= 1
    return _person(words[:first], words[first:], words if len(words) > 1 else [])


def _person(given: Sequence[str], family: Sequence[str], reversible: Sequence[str] = ()) -> PersonName:
    return PersonName(
        whole=_squeeze([*given, *family]),
        family=_squeeze(family),
        initials=_all_initials(given),
        reversed_family=_squeeze(reversible[:1]),
        reversed_initials=_all_initials(reversible[1:]),
    )


def _all_initials(given: Iterable[str]) -> str:
    return "".join(_initials(word) for word in given).casefold()


def _squeeze(words: Iterable[str]) -> str:
    """Words without case, blanks and full stops."""
    return "".join(words).replace(".", "").casefold()


def _initials(word: str) -> str:
    """The initials a given name stands for: ``AB`` and ``A.B.`` are two, ``Anna`` is one, ``Anna-Lena`` two."""
    bare = word.replace(".", "")
    if bare.isupper() and len(bare) <= 3:
        return bare
    return "".join(part[:1] for part in bare.split("-"))


@dataclass(frozen=True)
class NamedPeople:
    """The people a version names, its holder with them."""

    names: tuple[PersonName, ...]
    assistants: Assistants

    @classmethod
    def of(cls, version: Version, holder: str) -> NamedPeople:
        """Those named in a version, and the holder unless it is blank."""
        listed = [*version.people, *([holder] if holder.strip() else [])]
        return cls(tuple(read_person(name) for name in listed), version.assistants)

    def standing(self, name: str) -> int:
        """YES if the name is on the paper, UNKNOWN if it may be, NO otherwise."""
        person = read_person(name)
        if any(person.whole == named.whole for named in self.names):
            return YES
        return UNKNOWN if any(_may_be(person, named) for named in self.names) else NO


def _may_be(one: PersonName, other: PersonName) -> bool:
    """One family name, and initials of which the shorter begin the longer; either name may be written family first."""
    if _fit(one.family, one.initials, other.family, other.initials):
        return True
    return (
        bool(one.initials)
        and bool(other.initials)
        and (
            _fit(one.reversed_family, one.reversed_initials, other.family, other.initials)
            or _fit(one.family, one.initials, other.reversed_family, other.reversed_initials)
        )
    )


def _fit(family: str, initials: str, other_family: str, other_initials: str) -> bool:
    shorter, longer = sorted((initials, other_initials), key=len)
    return bool(family) and family == other_family and longer.startswith(shorter)


def judge_people(rows: Rows, lists: Sequence[tuple[str, ...]], version: Version, holder: str) -> Column:
    """Everyone named: yes; nobody: no; some: as the paper says of assistants (VERDICTS section 6).

    Args:
        rows: the rows of lists to judge, shape (n_rows,).
        lists: the people of each row as written; an empty tuple for a blank cell, which is UNKNOWN.
        version: whom it names; a version that names nobody is all yes.
        holder: counts as named; may be blank.

    Returns:
        A column of shape (n_rows,), without measures.
    """
    column = yes(len(rows))
    if not version.people:
        return column
    named = NamedPeople.of(version, holder)
    standings: dict[str, int] = {}
    places: dict[tuple[int, str], list[int]] = {}
    for place, row in enumerate(rows.tolist()):
        for name in lists[row]:
            if name not in standings:
                standings[name] = named.standing(name)
        judged = _answer([standings[name] for name in lists[row]], named.assistants)
        places.setdefault(judged, []).append(place)
    for (answer, code), found in places.items():
        if answer != YES:
            column.settle(np.array(found), answer, code)
        elif code:
            column.remark(np.array(found), code)
    return column


def _answer(standings: Sequence[int], assistants: Assistants) -> tuple[int, str]:
    """The answer for one list of people, with its finding or remark."""
    if not standings:
        return UNKNOWN, "person-missing"
    if all(s == YES for s in standings):
        return YES, ""
    if YES not in standings:
        return (UNKNOWN, "person-maybe") if UNKNOWN in standings else (NO, "person")
    if assistants == Assistants.ALLOWED:
        return YES, ""
    if assistants == Assistants.SUPERVISED:
        return YES, "supervision-not-evidenced"
    return UNKNOWN, "person-mixed" if NO in standings else "person-maybe"
