"""Parts on material: what was taken, where it is, what is not in order, what is not known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from governance.papers.printed.blocks import Block, Drawing, Para, Text, plain
from governance.reports.contents import DISTINCT, ROWS, SUM, TableData
from governance.reports.writing.answers import TAKEN
from governance.reports.writing.charts import columns_chart
from governance.reports.writing.data_tables import all_rows_line, data_table, rest_line
from governance.reports.writing.pen import Pen
from governance.reports.writing.summaries import Summary, by_columns, by_year, single_years
from governance.reports.writing.summary_tables import MOST_GROUPS, summary_table, year_table

_CHART_CM: Final = 15.0
_MOST_YEARS: Final = 25
_NUMBERS: Final = (ROWS, f"{SUM}individuals")


def material(pen: Pen) -> Iterator[Block]:
    """All of it where that is readable, else in groups."""
    table = pen.table("material")
    if table is None:
        return
    if 0 < len(table.rows) <= pen.most:
        yield from data_table(pen, "material")
        return
    yield from _summaries(pen, table)
    yield from data_table(pen, "material") if not table.rows else rest_line(pen, table, 0)


def _summaries(pen: Pen, table: TableData) -> Iterator[Block]:
    w = pen.w
    heads = (w.of("columns", "specimens"), w.of("columns", "individuals"))
    years = by_year(table, "first_on", "last_on", where=TAKEN, measures=_NUMBERS)
    yield from _years(pen, years)
    yield from year_table(pen, years, heads, (50, 25, 25))
    for key, caption in (("accession", "by_accession"), ("taxon", "by_taxon"), ("site", "by_site")):
        found = by_columns(table, (key,), measures=_NUMBERS, where=TAKEN, most=MOST_GROUPS)
        yield from summary_table(pen, found, table, heads, caption=w(caption), widths=(50, 25, 25))


def _years(pen: Pen, years: Summary) -> Iterator[Block]:
    """A chart of the years, where there are several."""
    bars = single_years(years, _MOST_YEARS)
    if not bars:
        return
    texts = [pen.w.number(number) for _year, number, _proof in bars]
    told = pen.w.several([f"{year} {text}" for (year, _n, _proof), text in zip(bars, texts, strict=True)])
    alt = pen.w("chart_years", told=told)
    picture = columns_chart([(year, number) for year, number, _proof in bars], texts, alt, _CHART_CM)
    yield Drawing(picture, pen.w("chart_years_key"))


def where_it_is(pen: Pen) -> Iterator[Block]:
    """By place, and by holder of what is not here."""
    table = pen.table("material")
    if table is None:
        return
    if not table.rows:
        yield from data_table(pen, "material")
        return
    found = by_columns(table, ("now", "holder"), most=MOST_GROUPS)
    yield from summary_table(
        pen, found, table, [pen.w.of("columns", "specimens")], caption=pen.w("by_place"), widths=(32, 48, 20)
    )


def exceptions(pen: Pen) -> Iterator[Block]:
    """Reasons with how many they concern, then the specimens; told frankly, with what was done about it."""
    table = pen.table("exceptions")
    if table is not None and table.rows:
        yield from _in_english(pen)
        if len(table.rows) > pen.most:
            yield from _reasons(pen, table)
        else:
            yield from data_table(pen, "exceptions")
    elif table is not None and not pen.says_none("exceptions"):
        yield Para(plain(pen.w("amiss_nothing")))
    yield from _outside_uses(pen)
    remedies = pen.table("remedies")
    if remedies is not None and remedies.rows:
        yield Para((Text(pen.w.of("tables", "remedies"), role="strong"),), keep=True)
        yield from data_table(pen, "remedies")
    yield from pen.written_by_people("remedies")


def _reasons(pen: Pen, table: TableData) -> Iterator[Block]:
    columns = ("layer", "verdict", "paper", "finding")
    found = by_columns(table, columns, measures=(f"{DISTINCT}specimen",), most=pen.most)
    heads = [pen.w.of("columns", "specimens")]
    yield from summary_table(
        pen, found, table, heads, caption=pen.w("by_reason"), widths=(13, 15, 16, 44, 12), with_total=False
    )
    yield from rest_line(pen, table, 0)


def _in_english(pen: Pen) -> Iterator[Block]:
    if pen.w.code != "en":
        yield Para(plain(pen.w("findings_in_english")), "note")


def _outside_uses(pen: Pen) -> Iterator[Block]:
    """Uses and movements that the terms of their day did not allow; their tables stand in their own parts."""
    for key in ("uses", "movements"):
        number = pen.count(key, outside="yes")
        if number is not None and number.value != "0":
            yield Para(pen.told(f"amiss_{key}", number))


def unknown(pen: Pen) -> Iterator[Block]:
    """Each question with how many it concerns; never left out."""
    table = pen.table("unknown")
    rows = table.rows if table is not None else []
    notes = [Para(pen.note(note)) for note in pen.open_questions()] or pen.notes("unknown")
    if not rows and not notes:
        yield Para(plain(pen.w("unknown_nothing")))
        return
    if rows:
        yield Para(plain(pen.w("unknown_lead")), keep=True)
    yield from notes
    if table is None or not rows:
        return
    if len(rows) <= min(pen.most, _SOON_TOLD):
        yield from data_table(pen, "unknown")
        return
    found = by_columns(table, ("question",))
    heads = [pen.w("how_many")]
    yield from summary_table(pen, found, table, heads, caption=pen.w("by_question"), widths=(80, 20), with_total=False)
    yield all_rows_line(pen, table)


_SOON_TOLD: Final = 12
"""Rows of open questions that are listed; more are counted by question."""


def samples(pen: Pen) -> Iterator[Block]:
    """All samples under a permit, and where they are."""
    yield from material(pen)
    table = pen.table("material")
    if table is not None and table.rows:
        yield from where_it_is(pen)


def kept(pen: Pen) -> Iterator[Block]:
    """Where the finds of a landowner's report are kept, the place of most first."""
    table = pen.table("species")
    if table is None or not table.rows:
        return
    found = by_columns(table, ("kept",), measures=(f"{SUM}specimens",))
    named = dict.fromkeys(name for group in found.groups for name in str(group.values[0] or "").split("; ") if name)
    if named:
        yield Para(plain(pen.w("kept_at", places=pen.w.several(list(named)))))
