"""Summaries against counts by hand; each number against the rows that its proof names."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from governance.reports.contents import SUM, Column, ColumnType, Proof, TableData, measured, rows_behind
from governance.reports.writing.summaries import by_columns, by_year, single_years

COLUMNS = (Column("name"), Column("site"), Column("count", ColumnType.NUMBER), Column("first_on"), Column("last_on"))
TABLE = TableData("material", COLUMNS, [
    ("Unio", "weir", 2, "2019-05-01", "2019-05-01"), ("Unio", "weir", 3, "2019-12-31", "2020-01-02"),
    ("Baetis", "weir", None, "2021-01-01", "2021-02-01"), ("Unio", None, 5, None, None),
    ("", "spring", 1, None, "2020"),
])  # fmt: skip


def test_groups_are_counted_and_summed_the_largest_first() -> None:
    """By hand: Unio 3 rows with 2 + 3 + 5 = 10; Baetis 1 row without a number; one row without a name, blank last."""
    found = by_columns(TABLE, ("name",), measures=("rows", f"{SUM}count"))
    assert [(group.values, [n.value for n in group.numbers]) for group in found.groups] == [
        (("Unio",), ["3", "10"]), (("Baetis",), ["1", "0"]), (("",), ["1", "1"]),
    ]  # fmt: skip
    assert [number.value for number in found.total] == ["5", "11"]


def test_what_is_left_is_summed_without_a_proof() -> None:
    found = by_columns(TABLE, ("name",), measures=("rows", f"{SUM}count"), most=1)
    assert (found.left, [(n.value, n.proof) for n in found.rest]) == (2, [("2", None), ("1", None)])


def test_a_condition_stays_in_the_proof() -> None:
    found = by_columns(TABLE, ("name",), where={"site": "weir"})
    assert found.groups[0].numbers[0].proof == Proof("material", {"site": "weir", "name": "Unio"})
    assert [number.value for number in found.total] == ["3"]


def test_years_are_told_as_they_are_known() -> None:
    """One year, over New Year, not known; a day of which only the end is known is no year."""
    found = by_year(TABLE, "first_on", "last_on")
    assert [(group.values, group.numbers[0].value) for group in found.groups] == [
        (("2019", "2019"), "1"), (("2019", "2020"), "1"), (("2021", "2021"), "1"), ((None, "2020"), "1"),
        ((None, None), "1"),
    ]  # fmt: skip
    assert [(year, n) for year, n, _proof in single_years(found, 25)] == [("2019", 1), ("2020", 0), ("2021", 1)]
    assert [year for year, _n, _proof in single_years(found, 2)] == ["2020", "2021"]


def test_one_year_is_no_chart() -> None:
    table = TableData("material", COLUMNS, list(TABLE.rows[:1]))
    assert single_years(by_year(table, "first_on", "last_on"), 25) == []


def test_nothing_has_no_groups() -> None:
    found = by_columns(TableData("material", COLUMNS, []), ("name",))
    assert (found.groups, found.left, found.total[0].value) == ((), 0, "0")


def test_a_column_that_is_not_there_is_named() -> None:
    with pytest.raises(KeyError, match="no column nowhere"):
        by_columns(TABLE, ("nowhere",))


DAYS = st.sampled_from([None, "2019-01-01", "2019-12-31", "2020-02-29"])
ROWS = st.lists(st.tuples(st.sampled_from(["a", "b", "", None]), st.sampled_from(["x", None]),
                          st.one_of(st.none(), st.integers(0, 9)), DAYS, DAYS), max_size=12)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(ROWS, st.integers(1, 3))
def test_every_number_is_that_of_the_rows_it_names(rows: list[tuple[object, ...]], most: int) -> None:
    """And no row is lost: the groups with what is left make the total."""
    table = TableData("material", COLUMNS, rows)  # type: ignore[arg-type]
    years = by_year(table, "first_on", "last_on", measures=("rows", f"{SUM}count"))
    for found in (by_columns(table, ("name", "site"), measures=("rows", f"{SUM}count"), most=most), years):
        for group in found.groups:
            for number in group.numbers:
                assert number.proof is not None
                assert number.value == measured(number.proof, table, rows_behind(number.proof, table))
        left = int(found.rest[0].value) if found.rest else 0
        assert sum(int(group.numbers[0].value) for group in found.groups) + left == len(rows)
