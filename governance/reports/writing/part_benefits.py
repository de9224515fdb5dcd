"""Parts on what was promised and what was given, and on people."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from textwrap import shorten
from typing import Final
from unicodedata import combining, normalize

from governance.papers.printed.blocks import Block, Drawing, Para, Text, plain
from governance.reports.contents import SUM, TableData, Value
from governance.reports.writing.charts import given_chart
from governance.reports.writing.data_tables import data_table
from governance.reports.writing.pen import Pen
from governance.reports.writing.summaries import by_columns

_MOST_BARS: Final = 12
_CHART_CM: Final = 15.0
_LONGEST_CLAUSE: Final = 6
_LONGEST_LABEL: Final = 30
OF_PEOPLE: Final = ("N-b", "N-d", "N-j", "N-n", "M-g")
"""Benefits that are done with people: research together, training, relationships, salaries."""


def benefits(pen: Pen) -> Iterator[Block]:
    """Promised against given, then what was given one by one."""
    promises = pen.table("promises")
    if promises is not None:
        yield Para((Text(pen.w("promised_against_given"), role="strong"),), keep=True)
        yield from _chart(pen, promises)
        yield from data_table(pen, "promises") if promises.rows else [Para(plain(pen.w("promised_nothing")))]
    given = pen.table("given")
    if given is not None:
        yield Para((Text(pen.w.of("tables", "given"), role="strong"),), keep=True)
        yield from data_table(pen, "given")
        yield from _by_unit(pen, given)


def _chart(pen: Pen, table: TableData) -> Iterator[Block]:
    """Only promises with a measure, in the order of the table below."""
    columns = [table.place(key) for key in ("clause_number", "code", "what", "promised", "given")]
    told = [[row[place] for place in columns] for row in table.rows]
    shares = [(_label(clause, code, what), _share(promised, given)) for clause, code, what, promised, given in told]
    bars = [(label, share) for label, share in shares if share is not None]
    if not bars or len(table.rows) > _MOST_BARS:
        return
    texts = [f"{pen.w.number(round(share * 100))} %" for _label, share in bars]
    words = "; ".join(f"{label} {text}" for (label, _share_of), text in zip(bars, texts, strict=True))
    yield Drawing(given_chart(bars, texts, pen.w("chart_given", told=words), _CHART_CM), pen.w("chart_given_key"))


def _label(clause: Value, code: Value, what: Value) -> str:
    """Clause, kind of benefit and first words of what it is, in letters that every picture has."""
    is_short = clause and str(clause).isascii() and len(str(clause)) <= _LONGEST_CLAUSE
    named = f"{clause}  {code}" if is_short else str(code)
    words = _first_words(str(what or ""), _LONGEST_LABEL - len(named) - 2)
    return f"{named}  {words}" if words else named


def _first_words(text: str, most: int) -> str:
    """As many whole words as have room, accents left out; "" where letters would be lost."""
    plain_letters = "".join(one for one in normalize("NFKD", text) if not combining(one))
    if not plain_letters.isascii():
        return ""
    return shorten(plain_letters, most, placeholder="...")


def _share(promised: Value, given: Value) -> float | None:
    """How much of a promise was given; None where either has no measure."""
    if promised in (None, "", "0") or given in (None, ""):
        return None
    return float(Decimal(str(given)) / Decimal(str(promised)))


def _by_unit(pen: Pen, table: TableData) -> Iterator[Block]:
    """Sums by unit; different units are never added."""
    if len(table.rows) < 2:
        return
    found = by_columns(table, ("unit",), measures=(f"{SUM}amount",))
    line: list[Text] = []
    for group in found.groups:
        if group.values[0] and group.numbers[0].value != "0":
            line += [Text("; ")] if line else []
            line += [pen.number(group.numbers[0], role="strong"), Text(f"\u00a0{group.values[0]}")]
    if line:
        yield Para((Text(f"{pen.w('together')}: "), *line))


def people(pen: Pen) -> Iterator[Block]:
    """What was given to people and with them, as far as the entries say so; then what people wrote."""
    table = pen.table("given")
    lines = []
    for code in OF_PEOPLE if table is not None else ():
        number = pen.count("given", code=code)
        if number is not None and number.value != "0":
            lines.append(Para((
                Text(f"{code} ", role="strong"), Text(f"{pen.w.code_word('benefits', code)}: "),
                pen.number(number, role="strong"), *_sums(pen, table, {"code": code}),
            )))  # fmt: skip
    yield from lines
    written = pen.written_by_people("people")
    yield from written or ([] if lines else [Para(plain(pen.w("people_none")))])


def _sums(pen: Pen, table: TableData | None, where: dict[str, Value]) -> Iterator[Text]:
    if table is None:
        return
    for group in by_columns(table, ("unit",), measures=(f"{SUM}amount",), where=where).groups:
        if group.values[0] and group.numbers[0].value != "0":
            yield Text(" · ")
            yield pen.number(group.numbers[0])
            yield Text(f"\u00a0{group.values[0]}")
