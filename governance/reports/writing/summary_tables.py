"""Summaries on the page: a row a group, each number leading to its rows, and their sum."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from governance.papers.printed.blocks import Block, Cell, Para, Table, Text, plain, strong
from governance.reports.contents import YEAR, ColumnType, Proof, TableData, Value
from governance.reports.writing.data_tables import blank
from governance.reports.writing.pen import Pen
from governance.reports.writing.shown_columns import REFERENCES
from governance.reports.writing.summaries import Number, Summary

MOST_YEARS: Final = 40
MOST_GROUPS: Final = 15
"""Rows of a summary: the largest groups, the others as one."""


def summary_table(
    pen: Pen, summary: Summary, table: TableData, heads: Sequence[str], *, caption: str, widths: Sequence[int],
    with_total: bool = True,
) -> list[Block]:  # fmt: skip
    """A summary as a table. heads: of its numbers; its columns are named by the language."""
    if not summary.groups:
        return []
    w = pen.w
    columns = [w.of("columns", key.removeprefix(YEAR)) for key in summary.columns]
    rows = [[*_labels(pen, table, summary, group.values), *(_number(pen, one) for one in group.numbers)]
            for group in summary.groups]  # fmt: skip
    empty = [Cell() for _ in summary.columns[1:]]
    if summary.left:
        rows.append([_others(pen, summary), *empty, *(_number(pen, n) for n in summary.rest)])
    if with_total and len(rows) > 1:
        total = [Cell([(pen.number(one, role="strong"),)]) for one in summary.total]
        rows.append([Cell([strong(w("together"))]), *empty, *total])
    numbers = range(len(columns), len(columns) + len(summary.measures))
    refs = [place for place, key in enumerate(summary.columns) if key in REFERENCES]
    made = Table(
        caption, [*columns, *heads], rows, widths, small=True, fine_head=True, numbers=list(numbers), refs=refs
    )
    return [Para(strong(caption), keep=True), made]


def year_table(pen: Pen, summary: Summary, heads: Sequence[str], widths: Sequence[int]) -> list[Block]:
    """Years as they are known: one year, from one to another, or not known."""
    if not summary.groups:
        return []
    newest = summary.groups[-MOST_YEARS:]
    rows = [[Cell([plain(_years(pen, *group.values))]), *(_number(pen, one) for one in group.numbers)]
            for group in newest]  # fmt: skip
    earlier = summary.groups[: len(summary.groups) - len(newest)]
    if earlier:
        sums = [str(sum(int(group.numbers[place].value) for group in earlier)) for place in range(len(heads))]
        others = Cell([plain(pen.w("other_groups", n=len(earlier)))])
        rows.insert(0, [others, *(_number(pen, Number(value, None)) for value in sums)])
    if len(rows) > 1:
        rows.append(
            [Cell([strong(pen.w("together"))]), *(Cell([(pen.number(n, role="strong"),)]) for n in summary.total)]
        )
    caption = pen.w("by_year")
    head = pen.w.of("heads", "year")
    made = Table(
        caption, [head, *heads], rows, widths, small=True, fine_head=True, numbers=list(range(1, 1 + len(heads)))
    )
    return [Para(strong(caption), keep=True), made]


def _others(pen: Pen, summary: Summary) -> Cell:
    """How many groups are not told: they lead to all rows, since no condition finds theirs alone."""
    proof = summary.total[0].proof
    href = pen.href(Proof(summary.table, proof.where)) if proof else ""
    return Cell([(Text(pen.w("other_groups", n=summary.left), href=href),)])


def _years(pen: Pen, first: Value, last: Value) -> str:
    if first == last:
        return str(first) if first else pen.w("not_known")
    if first and last:
        return pen.w("years_from_to", first=f"{first}", last=f"{last}")
    return pen.w("from_open" if first else "until_open", day=str(first or last))


def _labels(pen: Pen, table: TableData, summary: Summary, values: Sequence[Value]) -> list[Cell]:
    return [_label(pen, table, key, value) for key, value in zip(summary.columns, values, strict=True)]


def _label(pen: Pen, table: TableData, key: str, value: Value) -> Cell:
    column = table.columns[table.place(key)]
    text = pen.w.value(column, value)
    if not text:
        return Cell([plain(blank(pen, key))])
    if column.key == "code":
        return Cell([(Text(f"{value} ", role="strong"), Text(text))])
    lang = "en" if key == "finding" and pen.w.code != "en" else ""
    return Cell([(Text(text, lang, "taxon" if column.type is ColumnType.TAXON else ""),)])


def _number(pen: Pen, number: Number) -> Cell:
    return Cell([(pen.number(number),)])
