"""The first sheet of the workbook: what the report is, its sheets with their hashes, and by which rows each figure is
proved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from governance.papers.printed.blocks import Line
from governance.reports.contents import DISTINCT, ROWS, SUM, YEAR, Composed, Proof, Value
from governance.reports.writing.facts import facts_block
from governance.reports.writing.first_page import as_it_stood, title_of
from governance.reports.writing.language import ReportWords
from governance.reports.writing.pen import Pen

LookedRow = tuple[str, Sequence[Value]]
"""How a row looks (``title``, ``head`` or ""), and its cells."""


def read_me_rows(
    composed: Composed, w: ReportWords, sheets: Mapping[str, Sequence[str]], digests: Mapping[str, str],
    made_at: datetime,
) -> Iterator[LookedRow]:  # fmt: skip
    """All rows of the sheet.

    Args:
        sheets: names of the sheets by table.
        digests: hashes of the rows by table.
    """
    pen = Pen(composed, w)
    contents = composed.contents
    yield "title", (f"{contents.reference}  {title_of(pen)}",)
    yield "", (w.of("report_kinds", contents.kind),)
    yield "", (as_it_stood(pen),)
    yield "", (w("workbook_made", day=made_at.date().isoformat()),)
    yield "", (w.caution(),)
    yield "", ()
    facts = facts_block(pen)
    for name, lines in facts.rows if facts else ():
        yield "", (name, "; ".join(_text(line) for line in lines))
    yield "", ()
    yield from _sheets(composed, w, sheets, digests)
    yield "", ()
    yield from _figures(composed, w, sheets)


def _sheets(
    composed: Composed, w: ReportWords, sheets: Mapping[str, Sequence[str]], digests: Mapping[str, str]
) -> Iterator[LookedRow]:
    yield "head", (w("sheet"), w("rows"), w("sha256"))
    for key, table in composed.tables.items():
        yield "", (", ".join(sheets[key]), len(table.rows), digests[key])


def _figures(composed: Composed, w: ReportWords, sheets: Mapping[str, Sequence[str]]) -> Iterator[LookedRow]:
    yield "", (w("workbook_lead"),)
    yield "head", (w("figure"), w("number"), w("sheet"), w("condition"), w("how_counted"))
    for figure in composed.contents.figures:
        name = f"{w.figure(figure.key)} ({figure.unit})" if figure.unit else w.figure(figure.key)
        number: Value = int(figure.value) if figure.value.lstrip("-").isdigit() else w.amount(figure.value)
        proof = figure.proof
        yield (
            "",
            (name, number, ", ".join(sheets.get(proof.table, ())), condition(composed, w, proof), _measure(w, proof)),
        )


def condition(composed: Composed, w: ReportWords, proof: Proof) -> str:
    """The rows that a proof names, in words."""
    columns = {column.key: column for column in composed.tables[proof.table].columns}
    told = []
    for key, value in proof.where.items():
        column = columns[key.removeprefix(YEAR)]
        name = w.of("columns", column.key)
        name = w("year_of", column=name) if key.startswith(YEAR) else name
        text = str(value or "") if key.startswith(YEAR) else w.value(column, value)
        told.append(f"{name} = {text or w('blank')}")
    return "; ".join(told) or w("all_rows")


def _measure(w: ReportWords, proof: Proof) -> str:
    if proof.measure == ROWS:
        return w("count_rows")
    kind = "count_sum" if proof.measure.startswith(SUM) else "count_distinct"
    return w(kind, column=w.of("columns", proof.measure.removeprefix(SUM).removeprefix(DISTINCT)))


def _text(line: Line) -> str:
    return "".join(run.text for run in line)
