"""Reports of tests as they are composed, and what may be asked of every one of them."""

from __future__ import annotations

import json
from datetime import date
from itertools import count
from typing import Any

from accessions.people.models import User
from governance.reports.composing import compose
from governance.reports.composing.codes import CODES
from governance.reports.composing.said import FACTS, FIGURES, NOTES
from governance.reports.contents import ColumnType, Composed, measured
from governance.reports.models import Report
from governance.reports.tables import COLUMNS, PARTS
from tests.factories.register import person

TODAY = date(2026, 11, 26)
_numbers = count(1)


def composed(kind: str, reader: User | None = None, **about: Any) -> Composed:
    """A report of a kind, composed by a registrar, and checked for what holds of every report."""
    report = Report.objects.create(reference=f"R-{next(_numbers)}", kind=kind, **about)
    made = compose(report, reader=reader or person("registrar"), today=TODAY)
    check(made)
    return made


def check(made: Composed) -> None:
    """Every figure and note opens the rows that prove it; codes, keys and columns are those that languages name."""
    kind = made.contents.kind
    for figure in made.contents.figures:
        assert figure.value == measured(figure.proof, made.tables[figure.proof.table]), figure
        assert figure.key in FIGURES[kind]
    for note in (*made.contents.notes, *made.contents.disclosure.kept_back):
        assert note.key in NOTES[kind], note.key
        if note.proof is not None:
            assert measured(note.proof, made.tables[note.proof.table]) == str(note.values.get("n", 0)), note
    assert {fact.key for fact in made.contents.facts} <= set(FACTS[kind])
    assert set(made.contents.parts) <= set(PARTS[kind])
    for key, table in made.tables.items():
        assert table.columns == COLUMNS[key]
        for row in table.rows:
            assert len(row) == len(table.columns), (key, row)
            for column, value in zip(table.columns, row, strict=True):
                if column.type == ColumnType.WORD:
                    assert value is None or value in CODES[column.words], (key, column.key, value)
    words = {fact.words: fact.value for fact in made.contents.facts if fact.type == ColumnType.WORD}
    assert all(value in CODES[group] for group, value in words.items())
    json.dumps(made.contents.as_json())


def rows(made: Composed, table: str, *columns: str) -> list[tuple[Any, ...]]:
    """Some columns of a table."""
    places = [made.tables[table].place(column) for column in columns]
    return [tuple(row[place] for place in places) for row in made.tables[table].rows]


def value(made: Composed, key: str) -> Any:
    """The value of a fact or figure; None where there is none."""
    said: list[tuple[str, Any]] = [(one.key, one.value) for one in made.contents.figures]
    said += [(one.key, one.value) for one in made.contents.facts]
    return next((what for name, what in said if name == key), None)


def notes(made: Composed) -> dict[str, Any]:
    """Notes by key, with their values; what was kept back, too."""
    return {note.key: dict(note.values) for note in (*made.contents.notes, *made.contents.disclosure.kept_back)}


def everything(made: Composed) -> str:
    """All that the report holds, as text, for canaries."""
    return json.dumps([made.contents.as_json(), {key: table.rows for key, table in made.tables.items()}])
