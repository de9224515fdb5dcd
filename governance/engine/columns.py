"""The answer of one test over many rows, as columns, and how the versions of a paper that a date touches join.

A *column* holds, for each row that was tested, the answer, its first finding (code, measure, against), further
findings (an id into ``MoreFindings``), remarks (a bit each) and the miss by which papers are compared.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from governance.engine.answers import NO, UNKNOWN, YES, Answers
from governance.engine.tables import CODE, REMARKS, ByteColumn, Finding, FloatColumn, IntColumn, Rows

REMARK_BIT = {code: np.uint8(1 << number) for number, code in enumerate(REMARKS)}
"""The bit of each remark in ``Column.remarks``."""


@dataclass(frozen=True)
class Column:
    """Answers to one test, shape (n_rows,) each; the arrays are filled in place, row by row of the contract's tables.

    answer: uint8. code: uint8, position in ``CODES``, 0 for none. measure, against: float64 in the unit of the code,
    NaN for none. miss: float64 in the same unit, by how much the test fails, NaN where it has no measure. remarks:
    uint8, bits of ``REMARK_BIT``. more: int32, id into ``MoreFindings``, 0 for none.
    """

    answer: Answers
    code: ByteColumn
    measure: FloatColumn
    against: FloatColumn
    miss: FloatColumn
    remarks: ByteColumn
    more: IntColumn

    def __len__(self) -> int:
        return len(self.answer)

    def take(self, rows: Rows) -> Column:
        """The rows as a column of their own."""
        return Column(*(getattr(self, f.name)[rows] for f in fields(self)))

    def put(self, rows: Rows, other: Column) -> None:
        """Write another column, one of its rows for each of the rows."""
        for f in fields(self):
            getattr(self, f.name)[rows] = getattr(other, f.name)

    def settle(self, rows: Rows, answer: int, code: str = "", **values: FloatColumn | float) -> None:
        """Set the answer and finding of some rows; values are measure, against and miss, by row or for all."""
        self.answer[rows] = answer
        self.code[rows] = CODE[code]
        for name, value in values.items():
            getattr(self, name)[rows] = value

    def remark(self, rows: Rows, code: str) -> None:
        """Add a remark to some rows."""
        self.remarks[rows] |= REMARK_BIT[code]


def yes(count: int) -> Column:
    """A column of plain yes, shape (count,): no finding, no remark.

    >>> yes(2).answer.tolist(), yes(0).answer.tolist()
    ([0, 0], [])
    """
    none = np.full(count, np.nan)
    byte = np.zeros(count, np.uint8)
    return Column(byte, byte.copy(), none, none.copy(), none.copy(), byte.copy(), np.zeros(count, np.int32))


class MoreFindings:
    """Findings beside the first one of a test, interned: id 0 is none."""

    def __init__(self) -> None:
        self._rows: list[tuple[Finding, ...]] = [()]
        self._ids: dict[tuple[Finding, ...], int] = {(): 0}

    def id_of(self, findings: tuple[Finding, ...]) -> int:
        """The id of these findings, the same whenever they come again."""
        if findings not in self._ids:
            self._ids[findings] = len(self._rows)
            self._rows.append(findings)
        return self._ids[findings]

    def __getitem__(self, number: int) -> tuple[Finding, ...]:
        return self._rows[number]


def unit_of(code: str) -> str:
    """The unit that the contract gives the measure of a code: "days", "m", "individuals", or "" for none.

    >>> unit_of("after-end"), unit_of("outside-area"), unit_of("sex")
    ('days', 'm', '')
    """
    if code in _DAY_CODES:
        return "days"
    if code in _METRE_CODES:
        return "m"
    return "individuals" if code in ("cap-breached", "cap-possible") else ""


_DAY_CODES = frozenset(
    {
        "revoked",
        "suspended",
        "closed-season",
        "between-versions",
        "before-start",
        "after-end",
        "straddles",
        "date-vague",
    }
)
_METRE_CODES = frozenset(
    {
        "country-mismatch",
        "place-conflict",
        "excluded-area",
        "outside-area",
        "at-sea",
        "exclusion-edge",
        "area-edge",
    }
)


def join_versions(columns: Sequence[Column], *, is_run: bool, more: MoreFindings, codes: Sequence[str]) -> Column:
    """Join the answers of the versions that a date touches (VERDICTS section 3, last paragraph).

    columns: one a version, by start, over the same rows. A run takes the least favourable answer of each row, from the
    first version that gave it. Otherwise: all yes is yes, all no is no, else unknown.
    """
    if len(columns) == 1:
        return columns[0]
    answers = np.stack([c.answer for c in columns])
    first_worst = answers.argmax(axis=0)
    joined = _pick(columns, first_worst)
    if is_run:
        return joined
    all_yes = (answers == YES).all(axis=0)
    remarks = np.bitwise_or.reduce([c.remarks for c in columns])
    joined = replace(joined, remarks=np.where(all_yes, remarks, 0).astype(np.uint8))
    for row in np.flatnonzero(~all_yes & ~(answers == NO).all(axis=0)):
        _join_unknown(joined, int(row), columns, more, codes)
    return joined


def _pick(columns: Sequence[Column], choice: Rows) -> Column:
    """For each row the entries of the column chosen for it."""
    rows = np.arange(len(choice))
    return Column(*(np.stack([getattr(c, f.name) for c in columns])[choice, rows] for f in fields(Column)))


def _join_unknown(
    joined: Column, row: int, columns: Sequence[Column], more: MoreFindings, codes: Sequence[str]
) -> None:
    """Versions that disagree: the findings of those that cannot tell, and that the versions differ."""
    unknown = [c for c in columns if c.answer[row] == UNKNOWN]
    one_reason = len(unknown) == len(columns) and len({int(c.code[row]) for c in unknown}) == 1
    found: dict[str, Finding] = {}
    joined.miss[row] = unknown[0].miss[row] if unknown else np.nan
    for column in unknown:
        for finding in _findings_of(column, row, more, codes):
            found.setdefault(finding.code, finding)
    if not one_reason:
        found.setdefault("version-vague", Finding("version-vague"))
    first, *others = found.values()
    joined.answer[row] = UNKNOWN
    joined.code[row] = CODE[first.code]
    joined.measure[row] = np.nan if first.measure is None else first.measure
    joined.against[row] = np.nan if first.against is None else first.against
    joined.more[row] = more.id_of(tuple(others))


def _findings_of(column: Column, row: int, more: MoreFindings, codes: Sequence[str]) -> tuple[Finding, ...]:
    """All findings of one row that is not yes, the first one first."""
    first = finding_of(codes[column.code[row]], column.measure[row], column.against[row])
    return (first, *more[int(column.more[row])])


def finding_of(code: str, measure: float, against: float) -> Finding:
    """A finding from its columns: NaN is none, and without a number there is no unit.

    >>> finding_of("after-end", 3.0, np.nan)
    Finding(code='after-end', measure=3.0, against=None, unit='days')
    """
    first, second = (None if math.isnan(value) else float(value) for value in (measure, against))
    return Finding(code, first, second, "" if first is None and second is None else unit_of(code))
