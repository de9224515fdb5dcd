"""From conditions to an answer.

Conditions are joined by the logic of three answers: "all" is a yes only if each is, "any" if one is, and where neither
yes nor no follows, since a value is not known, the row is not in the answer and is counted beside it. One scan counts
all of that.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import and_
from typing import Any, Final

from django.db import connection
from django.db.models import Count, F, Func, Q, QuerySet
from django.db.models.expressions import OrderBy
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    Linked,
    Missing,
    QueriedRows,
    Question,
    Row,
    UnknownValueError,
)
from governance.audit.asking import Group as QuestionGroup
from governance.audit.composer.conditions import Composed, Condition, Group, Join, Subject
from governance.audit.composer.fields import Catalogue, Field, Shown
from governance.audit.composer.left_out import left_out
from governance.audit.composer.subjects import CATALOGUES
from governance.audit.composer.telling import Ground, Told, both, either
from governance.audit.composer.values import ValueProblemError, test_of, values_of
from governance.audit.composer.words import composed_words, subject_words

MOST_COLUMNS: Final = 12
CONDITIONS: Final = "conditions"
"""The parameter, as it were, of which the problems of a composed question are."""

_DENSE: Final = 0.1
"""Share of rows from which on walking an index in its order finds a page sooner than a scan of all rows."""


@dataclass(frozen=True)
class Problem:
    """What is wrong, in words. place: group and line, counted from 0; None: it is of the whole."""

    words: str
    place: tuple[int, int] | None = None


class ComposedError(UnknownValueError):
    """A composed question cannot be asked (any more): all of its problems. Its text is for people to read."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(CONDITIONS, " ".join(dict.fromkeys(problem.words for problem in problems)))
        self.problems = tuple(problems)


@dataclass(frozen=True)
class _Line:
    """A condition with what it says of the rows."""

    field: Field
    told: Told

    @property
    def possible(self) -> Q | None:
        return either(self.told.yes, self.told.unknown, self.told.hidden)


@dataclass(frozen=True)
class _Counted:
    """How many rows match; and of those that may match, of how many each line is not known, and not open."""

    matching: int
    unknown: tuple[int, ...]
    hidden: int


def answer(composed: Composed, *, on: date, reader: Any) -> Answer:
    """What the register answers, for a reader. It is to be called within the clocks.

    Raises:
        ComposedError: the conditions cannot be asked: each problem with its place.
    """
    catalogue, ground = CATALOGUES[composed.subject], Ground(on, reader)
    columns, order = _columns(composed, catalogue), _order(composed, catalogue)
    groups = _groups(composed, catalogue, ground)
    lines = [line for _join, of in groups for line in of]
    rows = catalogue.rows(ground)
    yes = _joined([_joined([line.told.yes for line in of], join) for join, of in groups], composed.join)
    possible = _joined([_joined([line.possible for line in of], join) for join, of in groups], composed.join)
    counted = _count(rows, yes, possible, lines) if groups else _Counted(rows.count(), (), 0)
    found = _found(rows, yes, is_all=not groups)
    ordered = found.order_by(*_order_of(order, _is_dense(composed, counted, catalogue)))
    kept_out = left_out(composed.subject, ground)
    return Answer(
        sentence=_sentence(composed, catalogue, counted.matching),
        columns=tuple(Column(field.key, field.label, field.column, field.unit) for field in columns),
        rows=QueriedRows(ordered, _maker(columns, catalogue, ground), counted.matching),
        missing=(*_missing(lines, counted, catalogue), *kept_out.missing),
        kept_back=_kept_back(counted, catalogue) + kept_out.kept_back,
        notes=kept_out.notes,
    )  # fmt: skip


def question_of(composed: Composed, title: str = "") -> Question:
    """What was composed as a question like the ready ones, for the pages and files of these."""

    def asked_and_answered(asked: Asked) -> Answer:
        return answer(composed, on=asked.on, reader=asked.reader)

    return Question(
        key="composed", group=QuestionGroup.RECORDS, title=title or subject_words(composed),
        shows=_("Rows of which all that is asked is certain; what is not known is counted beside them."),
        answer=asked_and_answered,
    )  # fmt: skip


def _groups(composed: Composed, catalogue: Catalogue, ground: Ground) -> list[tuple[Join, list[_Line]]]:
    """The groups that hold a condition, read; every problem at once."""
    problems: list[Problem] = []
    found: list[tuple[Join, list[_Line]]] = []
    for place, group in enumerate(composed.groups):
        lines = _lines(group, place, catalogue, ground, problems)
        if lines:
            found.append((group.join, lines))
    if problems:
        raise ComposedError(problems)
    return found


def _lines(group: Group, place: int, catalogue: Catalogue, ground: Ground, problems: list[Problem]) -> list[_Line]:
    lines = []
    for number, condition in enumerate(group.conditions):
        if not condition.field:
            continue
        try:
            lines.append(_line(condition, catalogue, ground))
        except ValueProblemError as error:
            problems.append(Problem(str(error), (place, number)))
    return lines


def _line(condition: Condition, catalogue: Catalogue, ground: Ground) -> _Line:
    field = catalogue.by_key.get(condition.field)
    if field is None:
        raise ValueProblemError(_("There is no field “%(key)s” here.") % {"key": condition.field})
    test = test_of(condition, field)
    values = values_of(condition, field, test)
    if field.told is None:
        raise ValueProblemError(_("“%(field)s” can be shown, not asked for.") % {"field": field.label})
    return _Line(field, field.told(test, values, ground))


def _joined(parts: Sequence[Q | None], join: Join) -> Q | None:
    """None stands for no row."""
    if join is Join.ANY:
        return either(*parts)
    known = [part for part in parts if part is not None]
    return reduce(and_, known) if known and len(known) == len(parts) else None


# Counting -------------------------------------------------------------------------------------------------------------


def _count(rows: QuerySet[Any], yes: Q | None, possible: Q | None, lines: Sequence[_Line]) -> _Counted:
    """One query: what matches, and what may match but cannot be told."""
    unsaid = [line.told.unknown for line in lines]
    hidden = either(*(line.told.hidden for line in lines))
    if possible is None:
        return _Counted(0, (0,) * len(lines), 0)
    if hidden is None and not any(unsaid):
        return _Counted(0 if yes is None else rows.filter(yes).order_by().count(), (0,) * len(lines), 0)
    counts = {"yes": yes} | _with_and_within("hidden", hidden, yes)
    for number, unknown in enumerate(unsaid):
        counts |= _with_and_within(f"unknown{number}", unknown, yes)
    asked = {name: Count("pk", filter=condition) for name, condition in counts.items() if condition is not None}
    found = rows.filter(possible).order_by().aggregate(**asked)
    beside = [_beside(found, f"unknown{number}") for number in range(len(lines))]
    return _Counted(found.get("yes", 0), tuple(beside), _beside(found, "hidden"))


def _with_and_within(name: str, condition: Q | None, yes: Q | None) -> dict[str, Q | None]:
    return {name: condition, f"{name}_within": both(condition, yes)}


def _beside(found: dict[str, int], name: str) -> int:
    """Those of which it is not known, without those that match all the same, by another condition of "any"."""
    return found.get(name, 0) - found.get(f"{name}_within", 0)


def _found(rows: QuerySet[Any], yes: Q | None, *, is_all: bool) -> QuerySet[Any]:
    if is_all:
        return rows
    return rows.none() if yes is None else rows.filter(yes)


# Order and columns ----------------------------------------------------------------------------------------------------


def _columns(composed: Composed, catalogue: Catalogue) -> list[Field]:
    """The first of the usual columns always stands first, since it leads to the record."""
    wanted = list(dict.fromkeys((catalogue.usual[0], *(composed.columns or catalogue.usual))))
    known = [catalogue.by_key.get(key) for key in wanted]
    shown = [field for field in known if field is not None and field.cell is not None]
    if len(shown) < len(wanted):
        raise ComposedError([Problem(_("A column that is asked for is not there (any more); choose columns anew."))])
    if len(shown) > MOST_COLUMNS:
        words = _("%(n)d columns are too many; choose %(most)d at most.") % {"n": len(shown), "most": MOST_COLUMNS}
        raise ComposedError([Problem(words)])
    return shown


def _order(composed: Composed, catalogue: Catalogue) -> tuple[Field, bool]:
    """The field of the order, and whether it is the other way round."""
    text = composed.order or catalogue.usual_order
    field = catalogue.by_key.get(text.removeprefix("-"))
    if field is None or not field.order:
        raise ComposedError([Problem(_("The answer cannot be ordered by “%(key)s”.") % {"key": text})])
    return field, text.startswith("-")


def _is_dense(composed: Composed, counted: _Counted, catalogue: Catalogue) -> bool:
    """Whether an index may be walked. Where few rows match, SQLite would walk all of it to find them."""
    if composed.subject is not Subject.MATERIAL or connection.vendor != "sqlite":
        return True
    return counted.matching >= _DENSE * catalogue.rows(Ground(date.min, None)).count()


def _order_of(order: tuple[Field, bool], is_dense: bool) -> list[Any]:
    field, is_down = order
    columns: list[Any] = []
    for path in (*field.order, "pk"):
        column: Any = F(path) if is_dense else Func(F(path), template="+%(expressions)s")
        nulls = {"nulls_last" if is_down else "nulls_first": True} if path.endswith("_on") else {}
        columns.append(OrderBy(column, descending=is_down, **nulls))
    return columns


def _maker(columns: Sequence[Field], catalogue: Catalogue, ground: Ground) -> Callable[[Sequence[Any]], list[Row]]:
    wanted = frozenset(key for field in columns for key in field.more)

    def made(slice_: Sequence[Any]) -> list[Row]:
        more_of = catalogue.prepare(slice_, wanted, ground)
        return [
            Row(f"{catalogue.key}:{row.pk}", tuple(_cell(field, Shown(row, more_of(row), ground)) for field in columns))
            for row in slice_
        ]

    return made


def _cell(field: Field, shown: Shown) -> Any:
    cell = field.cell(shown) if field.cell else None
    return cell if cell is None or isinstance(cell, Linked | int | float | date) else str(cell)


# Words ----------------------------------------------------------------------------------------------------------------


def _sentence(composed: Composed, catalogue: Catalogue, count: int) -> str:
    counted, told = catalogue.counted(count), composed_words(composed)
    return _("%(counted)s: %(conditions)s.") % {"counted": counted, "conditions": told} if told else f"{counted}."


def _missing(lines: Sequence[_Line], counted: _Counted, catalogue: Catalogue) -> list[Missing]:
    found = []
    for line, n in zip(lines, counted.unknown, strict=False):
        if n:
            told = {"counted": catalogue.counted(n), "field": line.field.label}
            words = _("Of %(counted)s it cannot be told: “%(field)s” is not known, or not well enough.") % told
            found.append(Missing(words, n))
    return found


def _kept_back(counted: _Counted, catalogue: Catalogue) -> tuple[str, ...]:
    if not counted.hidden:
        return ()
    words = ngettext(
        "Of %(counted)s it is not told whether it is so: a paper behind it is not open to your role.",
        "Of %(counted)s it is not told whether they are so: the papers behind them are not open to your role.",
        counted.hidden,
    )  # fmt: skip
    return (words % {"counted": catalogue.counted(counted.hidden)},)
