"""What differs between two composings of one report: figures side by side, rows that came, went or changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from itertools import islice
from typing import Any, Final, Self

from governance.reports.contents import Column, Composed, Contents, Fact, Figure, Proof, Row, TableData, Value
from governance.reports.queries.stored import OF_THE_DAY

MOST_SHOWN: Final = 50
"""Rows of each sort that are kept to be shown; all are counted."""

KEYS: Final[Mapping[str, tuple[str, ...]]] = {
    "papers": ("paper",), "material": ("specimen",), "exceptions": ("specimen", "layer"), "movements": ("entry",),
    "uses": ("entry",), "used": ("entry", "specimen"), "remedies": ("entry", "paper", "what"),
    "sequences": ("sequence", "specimen"), "publications": ("entry", "citation"),
    "deposits": ("on", "depository", "accession", "entry"), "promises": ("paper", "clause_number", "code", "what"),
    "given": ("on", "code", "what", "paper"), "losses": ("entry", "specimen"),
    "duties": ("paper", "kind", "what", "about_from"), "unknown": ("question", "specimen", "accession", "paper"),
    "taken": ("taxon",), "species": ("taxon", "site"), "fields": ("number", "field"), "items": ("number", "field"),
}  # fmt: skip
"""By which columns a row of each table is known again; several alike are told apart by their order."""


@dataclass(frozen=True)
class FigureDifference:
    """A figure that is another now; None: it was not there. key: its sentence. unit: of the later one."""

    key: str
    before: str | None
    after: str | None
    unit: str = ""


@dataclass(frozen=True)
class RowDifference:
    """A row that changed, with the columns in which it did: key, before, after."""

    name: tuple[Value, ...]
    cells: tuple[tuple[str, Value, Value], ...]


@dataclass(frozen=True)
class TableDifference:
    """What became of the rows of a table. The rows themselves: the first ``MOST_SHOWN`` of each sort."""

    key: str
    columns: tuple[str, ...]
    before: int
    after: int
    added: int = 0
    gone: int = 0
    changed: int = 0
    added_rows: tuple[Row, ...] = ()
    gone_rows: tuple[Row, ...] = ()
    changed_rows: tuple[RowDifference, ...] = ()

    @property
    def is_same(self) -> bool:
        return not (self.added or self.gone or self.changed)


@dataclass(frozen=True)
class Differences:
    """All of it. made_on: the day of the register with which it was compared."""

    made_on: str
    figures: tuple[FigureDifference, ...] = ()
    tables: tuple[TableDifference, ...] = ()
    words: tuple[str, ...] = field(default=())

    @property
    def is_same(self) -> bool:
        return not (self.figures or self.tables or self.words)

    def as_json(self) -> dict[str, Any]:
        """As ``Report.changed`` keeps it."""
        return asdict(self)

    @classmethod
    def from_json(cls, told: Mapping[str, Any]) -> Self:
        """The way back."""
        return cls(
            told["made_on"], tuple(FigureDifference(**one) for one in told["figures"]),
            tuple(map(_table_from_json, told["tables"])), tuple(told["words"]),
        )  # fmt: skip


def _table_from_json(told: Mapping[str, Any]) -> TableDifference:
    changed = tuple(
        RowDifference(tuple(one["name"]), tuple((key, old, new) for key, old, new in one["cells"]))
        for one in told["changed_rows"]
    )
    rows = {name: tuple(told[name]) for name in ("added_rows", "gone_rows")}
    return TableDifference(**{**told, **rows, "columns": tuple(told["columns"]), "changed_rows": changed})


def differences(before: Composed, after: Composed) -> Differences:
    """What the later composing says otherwise. words: parts of the contents beside figures and rows that differ, of
    ``WORDS``. Who composed it and on which day is no difference."""
    old, new = before.contents, after.contents
    keys = [*before.tables, *(key for key in after.tables if key not in before.tables)]
    tables = (
        _table_difference(before.tables.get(key) or _none_of(after.tables[key]),
                          after.tables.get(key) or _none_of(before.tables[key]))
        for key in keys
    )  # fmt: skip
    return Differences(
        new.made_on, tuple(_figure_differences(old.figures, new.figures)),
        tuple(one for one in tables if not one.is_same),
        tuple(name for name, told in WORDS.items() if told(old) != told(new)),
    )  # fmt: skip


def _facts(contents: Contents) -> list[Fact]:
    return [one for one in contents.facts if one.key not in OF_THE_DAY]


WORDS: Final[Mapping[str, Callable[[Contents], Any]]] = {
    "subject": lambda told: (told.subject, told.country), "period": lambda told: (told.period_from, told.period_to),
    "facts": _facts, "notes": lambda told: told.notes, "disclosure": lambda told: told.disclosure,
    "parts": lambda told: told.parts, "texts": lambda told: told.texts, "map": lambda told: told.map,
}  # fmt: skip
"""What is compared beside figures and rows, by the word for it."""


def _none_of(table: TableData) -> TableData:
    return TableData(table.key, table.columns)


def _figure_differences(before: Iterable[Figure], after: Iterable[Figure]) -> Iterator[FigureDifference]:
    old, new = {_figure_key(one): one for one in before}, {_figure_key(one): one for one in after}
    for key in [*old, *(key for key in new if key not in old)]:
        was, is_now = old.get(key), new.get(key)
        if was is None or is_now is None or was.value != is_now.value:
            yield FigureDifference(
                key[0], was.value if was else None, is_now.value if is_now else None, (is_now or was or _NO_FIGURE).unit
            )


_NO_FIGURE: Final = Figure("", "", Proof(""))


def _figure_key(one: Figure) -> tuple[Any, ...]:
    return one.key, one.proof.table, tuple(sorted(one.proof.where.items(), key=str)), one.proof.measure, one.unit


def _table_difference(before: TableData, after: TableData) -> TableDifference:
    shared = [one.key for one in before.columns if one.key in {other.key for other in after.columns}]
    known_by = [key for key in KEYS.get(after.key, tuple(shared[:1])) if key in shared]
    old_rows, new_rows = _known(before, known_by), _known(after, known_by)
    left, gone, changed = dict(new_rows), _Some(), _Some()
    for key, row in old_rows:
        other = left.pop(key, None)
        if other is None:
            gone.add(row)
        elif cells := _cells(before, row, after, other, shared):
            changed.add(RowDifference(key[0], cells))
    added = tuple(islice(left.values(), MOST_SHOWN))
    return TableDifference(
        after.key, tuple(_names(after.columns)), len(before.rows), len(after.rows), len(left), gone.count,
        changed.count, added, tuple(gone.kept), tuple(changed.kept),
    )  # fmt: skip


def _names(columns: Iterable[Column]) -> Iterator[str]:
    return (one.key for one in columns)


class _Some:
    """Counts all, keeps the first."""

    def __init__(self) -> None:
        self.count, self.kept = 0, list[Any]()

    def add(self, one: Any) -> None:
        self.count += 1
        if self.count <= MOST_SHOWN:
            self.kept.append(one)


def _known(table: TableData, by: Sequence[str]) -> Iterator[tuple[tuple[tuple[Value, ...], int], Row]]:
    """Rows with what they are known by, and a number where several are alike."""
    places, seen = [table.place(key) for key in by], Counter[tuple[Value, ...]]()
    for row in table.rows:
        name = tuple(row[place] for place in places)
        seen[name] += 1
        yield (name, seen[name]), row


def _cells(before: TableData, old: Row, after: TableData, new: Row, shared: Sequence[str]
           ) -> tuple[tuple[str, Value, Value], ...]:  # fmt: skip
    if before.columns == after.columns and list(old) == list(new):
        return ()
    pairs = ((key, old[before.place(key)], new[after.place(key)]) for key in shared)
    return tuple((key, was, is_now) for key, was, is_now in pairs if was != is_now)
