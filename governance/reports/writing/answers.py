"""What stands first: what was taken, where it is, what was given for it, what is not in order, what is not known.

Each line is a name with its sentences; each number is counted from the tables of the report and leads to its rows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final

from governance.papers.printed.blocks import Line, Text, plain
from governance.reports.contents import DISTINCT, SUM, Note, Proof, TableData, Value, measured
from governance.reports.writing.pen import Pen
from governance.reports.writing.summaries import Number, by_columns

Answer = tuple[str, list[Line]]

_IN_ORDER: Final = "in-order"
_AMISS: Final = ("missing", "outside", "straddles")
_OPEN: Final = ("cannot-tell", "not-judged")
TAKEN: Final[Mapping[str, Value]] = {"taken_from": ""}
"""Rows of material that were taken in the field, not from another row."""


def answers(pen: Pen) -> list[Answer]:
    """The lines of a kind of report; those that have nothing to say are left out."""
    told = _BY_KIND[pen.contents.kind](pen)
    return [(pen.w(name), lines) for name, lines in told if lines]


def measure(pen: Pen, key: str, measure_of: str, where: Mapping[str, Value] | None = None) -> Number | None:
    """A proved number of a table; None where the report has no such table."""
    table = pen.table(key)
    if table is None:
        return None
    proof = Proof(key, dict(where or {}), measure_of)
    return Number(measured(proof, table), proof)


def _provider(pen: Pen) -> Iterator[tuple[str, list[Line]]]:
    yield "answer_taken", _taken(pen)
    yield "answer_where", _where(pen)
    yield "answer_given", _given(pen)
    yield "answer_papers", _verdicts(pen)
    yield "answer_amiss", _amiss(pen)
    yield "answer_unknown", _unknown(pen)


def _benefits(pen: Pen) -> Iterator[tuple[str, list[Line]]]:
    yield "answer_taken", _taken(pen)
    yield "answer_promised", _promised(pen)
    yield "answer_given", _given(pen)
    yield "answer_amiss", [*_states(pen, "promises", (("overdue", "promises_overdue"),)), *_late(pen)] or _nothing(pen)
    yield "answer_unknown", _unknown(pen)


def _agency(pen: Pen) -> Iterator[tuple[str, list[Line]]]:
    table = pen.table("taken")
    if table is not None:
        yield "answer_taken", _return(pen, table)
    yield "answer_where", _where(pen)
    yield "answer_amiss", [pen.note(note) for note in pen.notes_of("exceptions")]
    yield "answer_unknown", _unknown(pen)


def _landowner(pen: Pen) -> Iterator[tuple[str, list[Line]]]:
    yield "answer_taken", _species(pen)
    yield "answer_unknown", _unknown(pen)


def _diligence(pen: Pen) -> Iterator[tuple[str, list[Line]]]:
    yield "answer_stated", _stated(pen, "fields", {}, "fields_stated")
    yield "answer_unknown", [*_blank(pen, "fields", {}, "fields_blank"), *_memory(pen)]


def _certificate(pen: Pen) -> Iterator[tuple[str, list[Line]]]:
    nine = {"minimum": "yes"}
    yield "answer_stated", _stated(pen, "items", nine, "items_stated")
    yield "answer_unknown", _unstated(pen, nine)


_BY_KIND: Final[Mapping[str, Callable[[Pen], Iterator[tuple[str, list[Line]]]]]] = {
    "provider": _provider, "benefits": _benefits, "agency": _agency, "landowner": _landowner,
    "diligence": _diligence, "certificate": _certificate,
}  # fmt: skip


def _taken(pen: Pen) -> list[Line]:
    """How many specimens, from how many accessions and names; parts made of them are told apart."""
    table = pen.table("material")
    if table is None:
        return []
    specimens = measure(pen, "material", "rows", TAKEN)
    accessions = measure(pen, "material", f"{DISTINCT}accession", TAKEN)
    assert specimens is not None and accessions is not None  # the table is there
    if specimens.value == "0":
        return [plain(pen.w("taken_nothing"))]
    never_entered = next((note for note in pen.contents.notes if note.key == "never_entered"), None)
    lines: list[Line] = [(*_in_all(pen, specimens, never_entered), *pen.told("taken_accessions", accessions))]
    lines += [pen.note(never_entered)] if never_entered else []
    parts = len(table.rows) - int(specimens.value)
    if parts:
        lines.append(pen.told("taken_parts", Number(str(parts), None)))
    in_period = measure(pen, "material", "rows", {**TAKEN, "in_period": "in"}) if _has_period(pen) else None
    if in_period is not None:
        none = in_period.value == "0"
        lines.append(plain(pen.w("taken_in_period_none")) if none else pen.told("taken_in_period", in_period))
    return lines


def _in_all(pen: Pen, specimens: Number, never_entered: Note | None) -> Line:
    """What was taken as far as is known: what is entered here, and what stayed in the country and never was."""
    if never_entered is None:
        return pen.told("taken_specimens", specimens)
    total = int(specimens.value) + int(str(never_entered.values["n"]))
    return (*pen.told("taken_known", Number(str(total), None)), *pen.told("taken_entered", specimens))


def _has_period(pen: Pen) -> bool:
    return bool(pen.contents.period_from or pen.contents.period_to)


def _where(pen: Pen) -> list[Line]:
    """By where things are now, the most first, in one line."""
    table = pen.table("material")
    if table is None or not table.rows:
        return []
    return [_counts(pen, table, "now")]


def _verdicts(pen: Pen) -> list[Line]:
    """By verdict, each with its number: the covered ones as much as those that are not."""
    table = pen.table("material")
    if table is None or not any(row[table.place("verdict")] for row in table.rows):
        return []
    means = (
        [plain(pen.w("in_order_means"))] if any(row[table.place("verdict")] == _IN_ORDER for row in table.rows) else []
    )
    return [_counts(pen, table, "verdict"), *means]


def _counts(pen: Pen, table: TableData, column: str) -> Line:
    """ "Here 12 · Out on loan 3"."""
    found = by_columns(table, (column,))
    line: list[Text] = []
    for group in found.groups:
        name = pen.w.value(table.columns[table.place(column)], group.values[0]) or pen.w("not_known")
        line += [Text(" · ")] if line else []
        line += [Text(f"{name} "), pen.number(group.numbers[0], role="strong")]
    return tuple(line)


def _given(pen: Pen) -> list[Line]:
    lines = []
    given = pen.count("given")
    if given is not None:
        told = pen.told("given_benefits", given) if given.value != "0" else plain(pen.w("given_nothing"))
        lines.append((*told, *_amounts(pen)))
    deposited = measure(pen, "deposits", f"{SUM}specimens")
    if deposited is not None:
        lines.append(pen.told("deposited", deposited) if deposited.value != "0" else plain(pen.w("deposited_nothing")))
    published = pen.count("publications")
    if published is not None and published.value != "0":
        lines.append(pen.told("published", published))
    return lines


def _amounts(pen: Pen) -> Line:
    """What was given by unit; different units are never summed."""
    table = pen.table("given")
    if table is None or not table.rows:
        return ()
    line: list[Text] = []
    for group in by_columns(table, ("unit",), measures=(f"{SUM}amount",)).groups:
        if group.values[0]:
            line += [Text(" · " if line else " ")]
            line += [pen.number(group.numbers[0], role="strong"), Text(f"\u00a0{group.values[0]}")]
    return tuple(line)


def _promised(pen: Pen) -> list[Line]:
    promises = pen.count("promises")
    if promises is None:
        return []
    if promises.value == "0":
        return [plain(pen.w("promised_nothing"))]
    states = (("met", "promises_met"), ("open", "promises_open"), ("not-measured", "promises_unmeasured"))
    return [pen.told("promised_benefits", promises), *_states(pen, "promises", states)]


def _states(pen: Pen, table: str, states: Sequence[tuple[str, str]]) -> list[Line]:
    counted = [(key, pen.count(table, state=state)) for state, key in states]
    return [pen.told(key, number) for key, number in counted if number is not None and number.value != "0"]


def _amiss(pen: Pen) -> list[Line]:
    """Specimens whose papers do not cover them, uses outside the terms, and duties that are late."""
    lines: list[Line] = []
    for verdict in _AMISS:
        number = pen.count("material", verdict=verdict)
        if number is not None and number.value != "0":
            lines.append(pen.told(f"amiss_{verdict}", number))
    lines += [plain(pen.w("amiss_once"))] if lines else []
    for table in ("uses", "movements"):
        number = pen.count(table, outside="yes")
        if number is not None and number.value != "0":
            lines.append(pen.told(f"amiss_{table}", number))
    lines += [*_states(pen, "promises", (("overdue", "promises_overdue"),)), *_late(pen)]
    return lines or ([] if _is_open(pen) else _nothing(pen))


def _is_open(pen: Pen) -> bool:
    """Whether something was not checked yet: then it is not said that nothing is amiss."""
    number = pen.count("material", verdict="not-judged")
    waits = any(note.key == "verdicts_waiting" for note in pen.contents.notes)
    return waits or (number is not None and number.value != "0")


def _late(pen: Pen) -> list[Line]:
    return _states(pen, "duties", (("late", "duties_late"),))


def _nothing(pen: Pen) -> list[Line]:
    return [plain(pen.w("amiss_nothing"))]


def _unknown(pen: Pen) -> list[Line]:
    """What no paper or record tells: verdicts that are open, then each question with how many."""
    lines = []
    for verdict in _OPEN:
        number = pen.count("material", verdict=verdict)
        if number is not None and number.value != "0":
            lines.append(pen.told(f"open_{verdict}", number))
    table = pen.table("unknown")
    if table is not None and table.rows:
        lines.append(_counts(pen, table, "question"))
    lines += [pen.note(note) for note in pen.open_questions() if note.proof is None]
    return lines or [plain(pen.w("unknown_nothing"))]


def _return(pen: Pen, table: TableData) -> list[Line]:
    """The numbers of a return, or that nothing was taken."""
    taken = measure(pen, "taken", f"{SUM}taken")
    assert taken is not None  # the table is there
    nil = nil_sentence(pen)
    names = pen.count("taken")
    assert names is not None
    lines: list[Line] = (
        [plain(nil)] if nil else [(*pen.told("taken_individuals", taken), *pen.told("taken_names", names))]
    )
    for column in ("removed", "released", "salvaged"):
        if any(row[table.place(column)] is not None for row in table.rows):
            number = measure(pen, "taken", f"{SUM}{column}")
            assert number is not None
            lines.append(pen.told(f"taken_{column}", number))
    return lines


def nil_sentence(pen: Pen) -> str:
    """What a return says of nothing: that nothing was taken, or that this cannot be told; "" where something was. It is
    decided when the report is composed, never by an empty table."""
    answer = next((fact.value for fact in pen.contents.facts if fact.key == "nil_return"), "cannot-tell")
    return {"nil": pen.w("nil_return"), "not-nil": ""}.get(str(answer), pen.w("nil_cannot_tell"))


def _species(pen: Pen) -> list[Line]:
    specimens, names = measure(pen, "species", f"{SUM}specimens"), pen.count("species")
    if specimens is None or names is None:
        return []
    if specimens.value == "0":
        return [plain(pen.w("taken_nothing"))]
    return [(*pen.told("land_specimens", specimens), *pen.told("taken_names", names))]


def _stated(pen: Pen, key: str, where: Mapping[str, Value], word: str) -> list[Line]:
    """How many fields have an answer, of how many."""
    table = pen.table(key)
    if table is None:
        return []
    asked = pen.count(key, **where)
    assert asked is not None
    stated = int(asked.value) - sum(int(number.value) for _state, number in _missing(pen, key, where))
    return [pen.told(word, Number(str(stated), None), count=int(asked.value))]


NOT_STATED: Final = ("not-known", "not-found", "not-stated", "confidential", "kept-back")
"""States of a field that has no answer here."""


def _missing(pen: Pen, key: str, where: Mapping[str, Value]) -> list[tuple[str, Number]]:
    counted = [(state, pen.count(key, **{**where, "state": state})) for state in NOT_STATED]
    return [(state, number) for state, number in counted if number is not None and number.value != "0"]


def _blank(pen: Pen, key: str, where: Mapping[str, Value], word: str) -> list[Line]:
    return [_named_states(pen, key, where)] if _missing(pen, key, where) else [plain(pen.w(f"{word}_none"))]


def _named_states(pen: Pen, key: str, where: Mapping[str, Value]) -> Line:
    line: list[Text] = []
    for state, number in _missing(pen, key, where):
        line += [Text(" · ")] if line else []
        line += [Text(f"{pen.w.code_word('answer_states', state)} "), pen.number(number, role="strong")]
    return tuple(line)


def _memory(pen: Pen) -> list[Line]:
    number = pen.count("fields", basis="memory")
    return [pen.told("fields_memory", number)] if number is not None and number.value != "0" else []


def _unstated(pen: Pen, nine: Mapping[str, Value]) -> list[Line]:
    return _blank(pen, "items", nine, "items_blank")
