"""The form in which a question is composed. It is an address: adding a line asks for the same page with one more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from django.http import QueryDict
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from governance.audit.composer.conditions import (
    MOST_CONDITIONS,
    MOST_GROUPS,
    SUBJECTS,
    WITHOUT_VALUE,
    Composed,
    Condition,
    Group,
    Join,
    Test,
    from_address,
)
from governance.audit.composer.fields import Catalogue, Field, Kind
from governance.audit.composer.running import ComposedError, Problem
from governance.audit.composer.subjects import CATALOGUES
from governance.audit.composer.words import test_words

ADD, ADD_GROUP, DROP, DRAFT = "add", "add-group", "drop", "draft"
"""What the buttons of the form say; ``DRAFT``: the form is being filled in, and nothing is to be asked yet."""

_SHAPING: Final = (ADD, ADD_GROUP, DROP, DRAFT)
JOINS: Final = ((Join.ALL.value, gettext_lazy("all of these")), (Join.ANY.value, gettext_lazy("any of these")))

Choice = tuple[str, Any]
MOST_LISTED: Final = 30


@dataclass(frozen=True)
class Line:
    """One condition on the page. number: over all groups, from 1. control: "select", "date", "number" or "text".
    problem: what is wrong with it, in words."""

    number: int
    group: int
    condition: Condition
    field: Field | None
    problem: str = ""

    @property
    def tests(self) -> list[Choice]:
        return [(test.value, test_words(test.value, self.field)) for test in self.field.tests] if self.field else []

    @property
    def control(self) -> str:
        if self.field is None or self.condition.test in WITHOUT_VALUE:
            return "none"
        is_listed = self.field.kind in (Kind.CHOICE, Kind.COUNTRY, Kind.FLAG)
        if is_listed and self.condition.test != Test.ONE_OF:
            return "select"
        return {Kind.DAY: "date", Kind.NUMBER: "number"}.get(self.field.kind, "text")

    @property
    def choices(self) -> list[Choice]:
        return [(str(code), words) for code, words in self.field.choices()] if self.field else []

    @property
    def is_several(self) -> bool:
        return self.condition.test == Test.ONE_OF

    @property
    def listed(self) -> list[Any]:
        """The words of which several may be written, where they are few."""
        choices = self.choices if self.is_several else []
        return [words for _code, words in choices] if len(choices) <= MOST_LISTED else []

    @property
    def help(self) -> Any:
        return self.field.help if self.field else ""

    @property
    def is_slow(self) -> bool:
        return bool(self.field and self.field.is_slow)


@dataclass(frozen=True)
class Lines:
    """A group on the page."""

    number: int
    join: str
    lines: Sequence[Line]


class ComposeForm:
    """What the page of the composer shows. ``composed`` is what is to be asked."""

    def __init__(self, address: QueryDict) -> None:
        self.problems: tuple[Problem, ...] = ()
        self.composed = _as_usual(_shaped(from_address(address), address))
        self.catalogue: Catalogue = CATALOGUES[self.composed.subject]
        self.is_draft = any(name in address for name in _SHAPING) or self._is_unfinished()
        self.is_put = "subject" in address and not self.is_draft
        if self.is_put:
            self.composed = self.composed.tidy()  # a line in which nothing was chosen says nothing
        self._asked_for = {name: _number(str(address[name])) for name in (ADD, ADD_GROUP, DROP) if name in address}

    def _is_unfinished(self) -> bool:
        """A field was chosen and nothing said of it yet: the page offers what can be said."""
        return any(one.field in self.catalogue.by_key and not one.test for one in self.composed.conditions)

    def refuse(self, error: ComposedError) -> None:
        """Show what is wrong, each beside its line."""
        self.problems = error.problems

    @property
    def general_problems(self) -> list[str]:
        return [problem.words for problem in self.problems if problem.place is None]

    @property
    def status(self) -> int:
        return 422 if self.problems else 200

    @cached_property
    def groups(self) -> list[Lines]:
        """The groups with their lines; the first has one to fill in where there is none."""
        said = {problem.place: problem.words for problem in self.problems}
        found, number = [], 0
        for place, group in enumerate(self.composed.groups or (Group(),)):
            lines = []
            for index, one in enumerate(group.conditions or (Condition("", ""),)):
                number += 1
                problem = said.get((place, index), "")
                lines.append(Line(number, place + 1, one, self.catalogue.by_key.get(one.field), problem))
            found.append(Lines(place + 1, group.join.value, lines))
        return found

    @cached_property
    def focused(self) -> int | None:
        """The number of the line in which one goes on after a button made or took one; None: nobody pressed one."""
        last = [group.lines[-1].number for group in self.groups]
        if DROP in self._asked_for:
            return min(self._asked_for[DROP] or 1, last[-1])
        if ADD_GROUP in self._asked_for:
            return last[-1]
        place = self._asked_for.get(ADD)
        return last[place - 1] if place is not None and place <= len(last) else None

    @property
    def subjects(self) -> list[tuple[str, Any, bool]]:
        return [(one.value, name, one is self.composed.subject) for one, name in SUBJECTS.items()]

    @property
    def askable(self) -> list[Choice]:
        return [(field.key, field.label) for field in self.catalogue.fields if field.told is not None]

    @property
    def columns(self) -> list[tuple[str, Any, bool, bool]]:
        """Key, label, whether it is chosen, and whether it is always shown."""
        chosen = self.composed.columns or self.catalogue.usual
        first = self.catalogue.usual[0]
        return [
            (field.key, field.label, field.key == first or field.key in chosen, field.key == first)
            for field in self.catalogue.fields if field.cell is not None
        ]  # fmt: skip

    @property
    def orders(self) -> list[Choice]:
        found: list[Choice] = []
        for field in self.catalogue.fields:
            if field.order:
                from_end = _("%(label)s, from the end") % {"label": field.label}
                found += [(field.key, field.label), (f"-{field.key}", from_end)]
        return found

    @property
    def order(self) -> str:
        return self.composed.order or self.catalogue.usual_order

    @property
    def may_add(self) -> bool:
        return len(self.composed.conditions) < MOST_CONDITIONS

    @property
    def may_add_group(self) -> bool:
        return self.may_add and len(self.composed.groups) < MOST_GROUPS

    @property
    def has_groups(self) -> bool:
        return len(self.composed.groups) > 1

    joins = JOINS


_BLANK: Final = Condition("", "")


def _shaped(composed: Composed, address: QueryDict) -> Composed:
    """With the line more, or less, that a button asked for."""
    groups = list(composed.groups)
    if DROP in address:
        groups = _without(groups, str(address[DROP]))
    if ADD_GROUP in address and len(groups) < MOST_GROUPS:
        groups.append(Group((_BLANK,), Join.ANY))
    if (place := _number(str(address.get(ADD, "")))) is not None and place <= len(groups):
        group = groups[place - 1]
        groups[place - 1] = replace(group, conditions=(*(group.conditions or (_BLANK,)), _BLANK))
    return replace(composed, groups=tuple(groups) or (Group(),))


def _as_usual(composed: Composed) -> Composed:
    """Without columns and order where they are the usual ones: the form sends these too, and nobody chose them."""
    catalogue = CATALOGUES[composed.subject]
    rest = {*composed.columns} | {catalogue.usual[0]}
    columns = () if rest == {*catalogue.usual} else composed.columns
    return replace(composed, columns=columns, order="" if composed.order == catalogue.usual_order else composed.order)


def _without(groups: list[Group], text: str) -> list[Group]:
    """Without the line of a number, counted over all groups; a group that is empty then goes too."""
    number, count, kept = _number(text), 0, []
    for group in groups:
        lines = []
        for one in group.conditions:
            count += 1
            lines += [] if count == number else [one]
        kept.append(replace(group, conditions=tuple(lines)))
    return [group for group in kept if group.conditions]


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and 0 < int(text[:4]) <= MOST_CONDITIONS else None
