"""Every table of the register is sealed, or is on the list of those that are not, with the reason."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps

from accessions.people.announcing import Announced
from accessions.people.seal_shapes import PERSONAL, PERSONAL_COLUMNS, Shape, is_history, shape_of, writer_of
from accessions.sites.models import Site
from governance.audit.sealed_tables import NOT_SEALED, ROOMS, STATE_TABLES, models_by_table, tracked_models
from governance.papers.models import PaperLink


def test_every_table_is_sealed_or_says_why_not() -> None:
    tables = {model._meta.label for model in apps.get_models() if model._meta.app_label in ROOMS}
    histories = {model._meta.label for model in apps.get_models() if is_history(model)}
    tracked = {model._meta.label for model in tracked_models()}
    states = {table.model._meta.label for table in STATE_TABLES}
    assert len(tracked) > 80
    assert not states & tracked
    assert tables - histories - tracked - states == set(NOT_SEALED)


def test_every_sealed_column_has_a_form() -> None:
    """A column of a new kind needs a form before it can be sealed; every personal column is one."""
    shapes = [shape_of(model) for model in models_by_table().values()]
    assert all(shape.columns for shape in shapes)
    personal = {(shape.table, name) for shape in shapes for name, kind in shape.columns if kind == PERSONAL}
    assert personal == {(table, name) for table, names in PERSONAL_COLUMNS.items() for name in names}


@pytest.mark.parametrize(
    ("kind", "cells", "text"),
    [  # the same value as SQLite and as PostgreSQL give it
        ("text", ["Ä \"b\"\n", "Ä \"b\"\n"], '"Ä \\"b\\"\\n"'),
        ("whole", [7, 7], "7"),
        ("real", [500.0, 500], "500.0"),
        ("real", [1e-07], "1e-07"),
        ("decimal", [12.5, Decimal("12.50")], '"12.5"'),
        ("decimal", [100, Decimal("100.00")], '"100"'),
        ("decimal", [0, Decimal("0.00")], '"0"'),
        ("yes/no", [1, True], "true"),
        ("yes/no", [0, False], "false"),
        ("day", ["2024-06-17"], '"2024-06-17"'),
        ("moment", ["2024-06-17 08:30:00", "2024-06-17 08:30:00.000000"], '"2024-06-17 08:30:00.000000"'),
        ("moment", ["2024-06-17 10:30:00.25+02:00", "2024-06-17 08:30:00.250000"], '"2024-06-17 08:30:00.250000"'),
        ("json", ['{"b":[1.0,"ä"],"a":null}', '{"a": null, "b": [1, "\\u00e4"]}'], '{"a":null,"b":[1,"ä"]}'),
        ("bytes", [b"abc", memoryview(b"abc")],  # FIPS 180-2, appendix B.1
         '{"sha256":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}'),
        ("text", [None], "null"),
    ],
)  # fmt: skip
def test_the_text_of_a_value(kind: str, cells: list[Any], text: str) -> None:
    """By the table of governance/docs/seal.md."""
    written = writer_of(Shape("t", "id", (("c", kind),), False))
    assert {written(7, [cell]).decode() for cell in cells} == {f'{{"key":7,"row":{{"c":{text}}},"table":"t"}}'}


def test_announced_rows_come_once_and_in_their_order() -> None:
    """A row that was told again, and the key that SQLite gives again after a part was taken back."""
    told = Announced()
    told.add(Site, [4, 5, 6])
    told.add(PaperLink, [2])
    told.add(Site, [6, 7])
    told.add(PaperLink, [2, 1])
    told.add(Site, [5, 8])
    assert [(model.__name__, key) for model, key in told] == [
        ("Site", 4), ("Site", 5), ("Site", 6), ("PaperLink", 2), ("Site", 7), ("PaperLink", 1), ("Site", 8),
    ]  # fmt: skip
    assert len(told) == 7
