"""What a person composes: conditions on fields of one subject, in groups that are joined. Pure data, without a query.

It is written three ways: as parameters of an address (so that it can be shared), as an object of a saved question, and
in words. The first two can be read back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Final, Protocol

from django.utils.translation import gettext_lazy as _

MOST_CONDITIONS: Final = 24
MOST_GROUPS: Final = 3
LONGEST_VALUE: Final = 500
SEPARATOR: Final = ";"
"""Between the values of "is one of": a name may hold a comma."""


class Subject(StrEnum):
    """What is asked for."""

    MATERIAL = "material"
    PAPERS = "papers"
    USES = "uses"
    DUTIES = "duties"


SUBJECTS: Final[Mapping[Subject, Any]] = {
    Subject.MATERIAL: _("Material"), Subject.PAPERS: _("Papers"), Subject.USES: _("Uses"), Subject.DUTIES: _("Duties"),
}  # fmt: skip


class Test(StrEnum):
    """How a value is tested."""

    __test__ = False  # no class of tests

    IS = "is"
    IS_NOT = "is-not"
    CONTAINS = "contains"
    ONE_OF = "one-of"
    BEFORE = "before"
    AFTER = "after"
    AT_LEAST = "at-least"
    AT_MOST = "at-most"
    KNOWN = "known"
    NOT_KNOWN = "not-known"


TESTS: Final[Mapping[Test, Any]] = {
    Test.IS: _("is"), Test.IS_NOT: _("is not"), Test.CONTAINS: _("contains"), Test.ONE_OF: _("is one of"),
    Test.BEFORE: _("is before"), Test.AFTER: _("is after"), Test.AT_LEAST: _("is at least"),
    Test.AT_MOST: _("is at most"), Test.KNOWN: _("is known"), Test.NOT_KNOWN: _("is not known"),
}  # fmt: skip

WITHOUT_VALUE: Final = frozenset({Test.KNOWN, Test.NOT_KNOWN})


class Join(StrEnum):
    """Whether all of the conditions hold, or at least one."""

    ALL = "all"
    ANY = "any"


@dataclass(frozen=True)
class Condition:
    """One line. test: a word of ``Test``; value: as a person wrote it; they may make no sense until they are run."""

    field: str
    test: str = Test.IS.value
    value: str = ""


@dataclass(frozen=True)
class Group:
    """Conditions that belong together."""

    conditions: tuple[Condition, ...] = ()
    join: Join = Join.ALL


@dataclass(frozen=True)
class Composed:
    """The whole. columns: fields to show, none: the usual ones of the subject. order: a field, with "-" before it the
    other way round, "": the usual order."""

    subject: Subject = Subject.MATERIAL
    groups: tuple[Group, ...] = (Group(),)
    join: Join = Join.ALL
    columns: tuple[str, ...] = ()
    order: str = ""

    @property
    def conditions(self) -> list[Condition]:
        return [condition for group in self.groups for condition in group.conditions]

    def tidy(self) -> Composed:
        """Without lines of which no field was chosen, and without groups that hold none."""
        kept = (replace(group, conditions=tuple(one for one in group.conditions if one.field)) for group in self.groups)
        return replace(self, groups=tuple(group for group in kept if group.conditions))


class Parameters(Protocol):
    """The parameters of an address, each of which may stand there several times."""

    def getlist(self, key: str) -> list[str]: ...


Pairs = list[tuple[str, str]]


def to_pairs(composed: Composed) -> Pairs:
    """As parameters of an address: f, t, v and g stand once for each condition, in one order."""
    pairs: Pairs = [("subject", composed.subject.value)]
    if composed.join != Join.ALL:
        pairs.append(("join", composed.join.value))
    for number, group in enumerate(composed.groups, start=1):
        if group.join != Join.ALL:
            pairs.append((f"join{number}", group.join.value))
        for one in group.conditions:
            pairs += [("f", one.field), ("t", one.test), ("v", one.value), ("g", str(number))]
    pairs += [("col", column) for column in composed.columns]
    return [*pairs, ("order", composed.order)] if composed.order else pairs


def from_address(told: Parameters) -> Composed:
    """Back from the parameters; what makes no sense of subject and joins is as if it were not there, and lines are
    kept as they are, so that the page can say what is wrong with each. Groups keep their place, also empty ones."""
    lines: dict[int, list[Condition]] = {number: [] for number in range(1, MOST_GROUPS + 1)}
    for number, condition in _lines(told):
        lines[number].append(condition)
    last = max((number for number, of in lines.items() if of), default=1)
    groups = tuple(Group(tuple(lines[n]), _join(_last(told, f"join{n}"))) for n in range(1, last + 1))
    return Composed(
        _subject(_last(told, "subject")), groups, _join(_last(told, "join")),
        tuple(dict.fromkeys(told.getlist("col"))), _last(told, "order"),
    )  # fmt: skip


def _lines(told: Parameters) -> Iterator[tuple[int, Condition]]:
    fields = told.getlist("f")[:MOST_CONDITIONS]
    rest = [_as_many(told.getlist(name), len(fields), usual) for name, usual in (("t", "is"), ("v", ""), ("g", "1"))]
    for field, test, value, group in zip(fields, *rest, strict=True):
        number = int(group) if group in {str(n) for n in range(1, MOST_GROUPS + 1)} else 1
        yield number, Condition(field, test, value[:LONGEST_VALUE].strip())


def _as_many(values: Sequence[str], count: int, usual: str) -> list[str]:
    return [*values, *[usual] * count][:count]


def _last(told: Parameters, key: str) -> str:
    return next(iter(told.getlist(key)[-1:]), "")


def _join(text: str) -> Join:
    return Join.ANY if text == Join.ANY else Join.ALL


def _subject(text: str) -> Subject:
    return Subject(text) if text in {one.value for one in Subject} else Subject.MATERIAL


def to_object(composed: Composed) -> dict[str, Any]:
    """As a saved question keeps it."""
    return {
        "subject": composed.subject.value, "join": composed.join.value, "columns": list(composed.columns),
        "order": composed.order,
        "groups": [
            {"join": group.join.value, "conditions": [[one.field, one.test, one.value] for one in group.conditions]}
            for group in composed.groups
        ],
    }  # fmt: skip


def from_object(kept: Mapping[str, Any]) -> Composed:
    """Back from what ``to_object`` made."""
    groups = tuple(
        Group(tuple(Condition(*map(str, one)) for one in group["conditions"]), _join(group["join"]))
        for group in kept.get("groups", ())
    )
    return Composed(
        _subject(str(kept.get("subject", ""))), groups, _join(str(kept.get("join", ""))),
        tuple(map(str, kept.get("columns", ()))), str(kept.get("order", "")),
    )  # fmt: skip
