"""Fields that can be asked of, by subject: what each is called, how it is tested, how a column of it is shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from django.db import models
from django.utils.translation import gettext_lazy as _

from governance.audit.asking import Cell, ColumnKind
from governance.audit.composer.conditions import Test
from governance.audit.composer.telling import Ground, Teller


class Kind(StrEnum):
    """What sort of value a field holds: it says how a value is typed and which tests make sense."""

    TEXT = "text"
    CHOICE = "choice"
    COUNTRY = "country"
    DAY = "day"
    NUMBER = "number"
    FLAG = "flag"
    TAXON = "taxon"
    PAPER = "paper"


_KNOWN: Final = (Test.KNOWN, Test.NOT_KNOWN)
_LINE: Final = (Test.IS, Test.IS_NOT, Test.AT_LEAST, Test.AT_MOST)
TESTS_OF: Final[Mapping[Kind, tuple[Test, ...]]] = {
    Kind.TEXT: (Test.CONTAINS, Test.IS, Test.IS_NOT, Test.ONE_OF),
    Kind.CHOICE: (Test.IS, Test.IS_NOT, Test.ONE_OF),
    Kind.COUNTRY: (Test.IS, Test.IS_NOT, Test.ONE_OF),
    Kind.DAY: (Test.BEFORE, Test.AFTER, *_LINE),
    Kind.NUMBER: _LINE,
    Kind.FLAG: (Test.IS,),
    Kind.TAXON: (Test.IS, Test.IS_NOT, Test.ONE_OF),
    Kind.PAPER: (Test.IS, Test.IS_NOT, Test.ONE_OF),
}

_DAY_WORDS: Final[Mapping[Test, Any]] = {Test.AT_LEAST: _("is on or after"), Test.AT_MOST: _("is on or before")}
_TAXON_WORDS: Final[Mapping[Test, Any]] = {
    Test.IS: _("is, or lies below"), Test.IS_NOT: _("is not, and lies not below"), Test.ONE_OF: _("lies below one of"),
}  # fmt: skip
WORDS_OF: Final[Mapping[Kind, Mapping[Test, Any]]] = {Kind.DAY: _DAY_WORDS, Kind.TAXON: _TAXON_WORDS}
"""What a test is called where the usual word does not fit."""

YES_NO: Final = (("yes", _("yes")), ("no", _("no")))

Choices = Sequence[tuple[str, Any]]


def _none() -> Choices:
    return ()


@dataclass(frozen=True)
class Shown:
    """A row of the answer with what its cells are made of. row: of the query; more: read once for a slice."""

    row: Any
    more: Any
    ground: Ground


@dataclass(frozen=True)
class Field:
    """A field. told: None where it can be shown only; cell: None where it can be asked only. may_lack: whether it may
    be not known. order: columns of the query by which the answer can be ordered. is_slow: of a million specimens it
    takes more than two seconds, since another large table is read."""

    key: str
    label: Any
    kind: Kind
    told: Teller | None = None
    cell: Callable[[Shown], Cell] | None = None
    column: ColumnKind = ColumnKind.TEXT
    choices: Callable[[], Choices] = _none
    may_lack: bool = True
    order: tuple[str, ...] = ()
    is_slow: bool = False
    help: Any = ""
    unit: str = ""
    more: tuple[str, ...] = ()

    @property
    def tests(self) -> tuple[Test, ...]:
        return TESTS_OF[self.kind] + (_KNOWN if self.may_lack else ())


@dataclass(frozen=True)
class Catalogue:
    """All fields of a subject. rows: what is asked over. one, many: words for the number of rows. usual: the columns
    of an answer whose person chose none; the first is always shown. prepare: what the cells of a slice need, of
    fields: the keys of ``Field.more`` of the columns that are shown. left_out: what the rows do not hold, in words."""

    fields: tuple[Field, ...]
    rows: Callable[[Ground], models.QuerySet[Any]]
    usual: tuple[str, ...]
    usual_order: str
    key: str
    counted: Callable[[int], str]
    prepare: Callable[[Sequence[Any], frozenset[str], Ground], Callable[[Any], Any]]

    @property
    def by_key(self) -> dict[str, Field]:
        return {field.key: field for field in self.fields}
